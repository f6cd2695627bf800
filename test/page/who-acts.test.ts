import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import * as t from '../access/set-up.ts';
import { has, run } from '../support/mosquitto.ts';
import { until } from '../watch/until.ts';
import { hasBrowser, opened, violations } from './opened.ts';

const folder = mkdtempSync(join(tmpdir(), 'wellwright-who-acts-'));
let open: Awaited<ReturnType<typeof opened>>;
let access: Awaited<ReturnType<typeof t.accessFolder>>;
beforeAll(async () => {
  access = await t.accessFolder();
  if (!hasBrowser) return;
  const wells = ['name = "Ridge"\n', 'name = "Barn"\n'];
  let aheadS = 0;
  const clock = { nowS: () => Date.now() / 1000 + aheadS };
  open = await opened(wells, { accessFolder: access.folder, clock });
  // A device that falls silent for an hour: an alarm to act on.
  const nowS = Date.now() / 1000;
  const pack = Array.from({ length: 300 }, (_, i) => ({
    ...{ n: 'pressure', u: 'Pa', v: 380_000 },
    t: nowS - 3000 + 10 * i,
  }));
  const asked = { method: 'POST', headers: { ...t.senml, ...t.bearer(access.keys['ridge/tee']) } };
  const ca = readFileSync(access.ca, 'utf8');
  const url = `${open.on.api}/wells/ridge/readings`;
  expect((await t.ask(url, { ...asked, ca, body: JSON.stringify(pack) })).status).toBe(200);
  await open.on.service.wells.advance();
  aheadS = 3600;
  const { alarms, wells: living } = open.on.service;
  await living.advance();
  await until(async () => {
    await alarms.advance();
    return (alarms.get('ridge')?.alarms.length ?? 0) > 0;
  });
}, 60_000);
afterAll(async () => {
  await open?.close();
  access.remove();
  rmSync(folder, { recursive: true });
});

async function enter(place: string, name: string, passphrase: string): Promise<Page> {
  const page = await open.page(place, { ignoreHTTPSErrors: true });
  await page.getByLabel('Name').fill(name);
  await page.getByLabel('Passphrase').fill(passphrase);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await page.getByText(`Signed in as ${name}`).waitFor();
  return page;
}

/** Whatever could be pressed, typed or chosen on a sheet to change something. */
const ACTS =
  /seen it|shelve|test to|Tell this|Begin|Calibrate|into the|Make|Add a|key of|is done|Go on|Give/i;
const acts = async (page: Page) => {
  const named = await page.locator('main button, main a').allTextContents();
  return named.filter((name) => ACTS.test(name));
};

describe.runIf(hasBrowser)('who looks only', () => {
  const SHEETS: Record<string, [says: string, owners: RegExp]> = {
    condition: ['The owner can say that it was seen', /I have seen it|Shelve/],
    tests: ['The owner can make tests here', /Begin the/],
    gauges: ['The owner can calibrate here', /Make its key/],
    book: ['The owner can write into the book', /Put|Write/],
    well: ['The owner can make the key of a device here', /Make its key/],
  };
  const placeOf = (sheet: string) => `/wells/ridge${sheet === 'well' ? '' : `/${sheet}`}`;

  it('is offered no act on any sheet, and told that the owner can', async () => {
    // With one under way there would be the most to press.
    await open.on.service.guided.begin('ridge', 'bucket');
    const page = await enter('/wells/ridge', 'family', t.READERS);
    for (const [sheet, [says]] of Object.entries(SHEETS)) {
      await page.goto(`${open.address}${placeOf(sheet)}`);
      await page.getByText(says).first().waitFor();
      expect(await acts(page), sheet).toEqual([]);
      expect(await page.locator('main form').count(), sheet).toBe(0);
      expect(await violations(page), sheet).toEqual([]);
    }
    await page.goto(`${open.address}/wells/ridge/tests`);
    await page.getByRole('region', { name: 'Under way: bucket test' }).waitFor();
    expect(await acts(page)).toEqual([]);
    await page.goto(`${open.address}/wells/ridge/book`);
    await page.getByText('Read it here').click();
    await page.locator('pre', { hasText: 'name = "Ridge"' }).waitFor();
    await page.getByText('The owner can change it here.').waitFor();
    expect(await page.locator('main textarea').count()).toBe(0);
    expect(await violations(page)).toEqual([]);
    await page.goto(`${open.address}/new`);
    await page.getByText('The owner can add a well here').waitFor();
    expect(await page.locator('main button, main input').count()).toBe(0);
    expect(await violations(page)).toEqual([]);
    await page.context().close();
  });

  it('while the owner is offered each, under the own name', async () => {
    const page = await enter('/wells/ridge', 'owner', t.OWNERS);
    for (const [sheet, [says, owners]] of Object.entries(SHEETS)) {
      await page.goto(`${open.address}${placeOf(sheet)}`);
      await page.getByRole('button', { name: owners }).first().waitFor();
      expect(await page.getByText(says).count(), sheet).toBe(0);
      expect(await page.getByLabel('Your name').count(), sheet).toBe(0);
    }
    await page.goto(`${open.address}/wells/ridge/condition`);
    const alarm = page.getByRole('article').filter({ hasText: 'as owner' }).first();
    expect(await alarm.getByRole('button', { name: 'Somebody else' }).count()).toBe(0);
    await alarm.getByRole('button', { name: 'Shelve' }).click();
    await alarm.getByText(/^Shelved by owner: not told until/).waitFor();
    expect(await violations(page)).toEqual([]);
    expect(open.faults).toEqual([]);
    await page.context().close();
  });
});

describe.runIf(hasBrowser)('a device is paired on the page', () => {
  it('with a key made there; the lines work as they stand; it is replaced and ended', async () => {
    const page = await enter('/wells/barn', 'owner', t.OWNERS);
    const pair = page.getByRole('region', { name: 'Pair a device' });
    const lines = () => pair.locator('code').allTextContents();
    const line = async (starts: string) =>
      (await lines()).find((one) => one.startsWith(starts)) ?? '';
    await pair.getByText('No reading').waitFor({ state: 'detached' });
    expect(await line('curl')).toContain("-u 'barn/<device>:<key>'");
    await pair.getByLabel('Name of the device').fill('cellar');
    await pair.getByRole('button', { name: 'Make its key', exact: true }).click();
    await pair.getByText('The key of cellar, shown this once').waitFor();
    expect(await violations(page)).toEqual([]);
    const { http, mqtt } = open.on.service.ports;
    expect(await lines()).toContain(`POST https://127.0.0.1:${http}/api/v1/wells/barn/readings`);
    expect(await line('mqtts')).toContain(`mqtts://127.0.0.1:${mqtt}, topic wells/barn/readings`);

    const saving = page.waitForEvent('download');
    await pair.getByRole('link', { name: 'ca.crt' }).click();
    await (await saving).saveAs(join(folder, 'ca.crt'));
    const tries = async () => [await line('curl'), await line('mosquitto_pub')];
    const first = await tries();
    for (const one of first.filter((given) => has(given.split(' ')[0] ?? ''))) {
      const { code, out } = await run('sh', ['-c', `cd ${folder} && ${one}`]);
      expect([code, out], one).toEqual([0, expect.not.stringMatching(/error|code/i)]);
    }
    await page.getByText(/^Readings arrive: [12] so far/).waitFor();

    const cellar = pair.getByRole('listitem').filter({ hasText: 'cellar' });
    await cellar.getByRole('button', { name: 'Replace the key of cellar' }).click();
    await cellar.getByText('is over at once, and it sends nothing').waitFor();
    expect(await tries()).toEqual(first);
    await cellar.getByRole('button', { name: 'Replace the key of cellar' }).click();
    await expect.poll(async () => (await tries())[0]).not.toBe(first[0]);
    const [old, fresh] = [first[0]!, (await tries())[0]!];
    if (has('curl')) {
      const told = async (one: string) => (await run('sh', ['-c', `cd ${folder} && ${one}`])).out;
      expect(await told(old)).toContain('wrong-key');
      expect(await told(fresh)).toContain('"accepted":1');
    }

    await page.reload();
    await cellar.waitFor();
    // Shown once: not again, not in what the service or the browser keeps.
    const [, secret = 'none'] = /cellar:[0-9a-f]{12}\.([\w-]{43})/.exec(fresh) ?? [];
    expect(secret).toHaveLength(43);
    expect(await page.content()).not.toContain(secret);
    await cellar.getByRole('button', { name: 'End the key of cellar' }).click();
    await cellar.getByText('is shut out at once').waitFor();
    expect(await violations(page)).toEqual([]);
    await cellar.getByRole('button', { name: 'End the key of cellar' }).click();
    await pair.getByText('The key of cellar is over.').waitFor();
    await cellar.waitFor({ state: 'detached' });
    await page.goto(`${open.address}/wells/barn/gauges`);
    await page.getByRole('region', { name: 'Pair a device' }).waitFor();
    expect(open.faults).toEqual([]);
    await page.context().close();
  });
});
