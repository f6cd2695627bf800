import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { getCACertificates, setDefaultCACertificates } from 'node:tls';
import type { BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readAlarms } from '../../src/cli/watch/read-alarms.ts';
import { pushReceiver } from '../support/push-receiver.ts';
import { certificate } from '../support/smtp-receiver.ts';
import { hasBrowser, opened, violations } from './opened.ts';

const trusted = getCACertificates();

/** No push service of the browser's maker can be reached: ours stands in its place. */
function subscribeAt(context: BrowserContext, subscription: object): Promise<unknown> {
  return context.addInitScript((given) => {
    let now: object | null = null;
    const made = {
      ...given,
      toJSON: () => given,
      unsubscribe: async () => {
        now = null;
        return true;
      },
    };
    Object.assign(PushManager.prototype, {
      getSubscription: async () => now,
      subscribe: async (asked: { applicationServerKey: string }) => {
        if (asked.applicationServerKey.length !== 87) throw new Error('no key of 65 bytes');
        now = made;
        return made;
      },
    });
  }, subscription);
}

/** What the browser does once a message has come for the worker of a page. */
async function deliver(page: Page, data: string): Promise<void> {
  const session = await page.context().newCDPSession(page);
  const registrations: { registrationId: string }[] = [];
  session.on('ServiceWorker.workerRegistrationUpdated', (event) =>
    registrations.push(...event.registrations),
  );
  await session.send('ServiceWorker.enable');
  await expect.poll(() => registrations.length).toBeGreaterThan(0);
  const [{ registrationId } = { registrationId: '' }] = registrations;
  const { origin } = new URL(page.url());
  await session.send('ServiceWorker.deliverPushMessage', { origin, registrationId, data });
}

describe.runIf(hasBrowser)('this browser is told', () => {
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-push-'));
  let at: Awaited<ReturnType<typeof opened>>;
  let push: Awaited<ReturnType<typeof pushReceiver>>;
  beforeAll(async () => {
    const tls = certificate();
    setDefaultCACertificates([...trusted, tls.cert]);
    push = await pushReceiver(tls);
    const file = join(folder, 'alarms.toml');
    writeFileSync(
      file,
      '[push]\ncontact = "mailto:keeper@example.org"\nin_house = ["127.0.0.1"]\n',
    );
    at = await opened(['name = "Barn"\n'], { alarms: await readAlarms(file, ['barn']) });
    const nowS = Date.now() / 1000;
    const pack = Array.from({ length: 60 }, (_, i) => ({ t: nowS - 600 + 10 * i, v: 300_000 }));
    const records = pack.map(({ t, v }) => ({ n: 'pressure', u: 'Pa', t, v }));
    await at.on.post('barn', JSON.stringify(records));
    await at.on.service.wells.advance();
  }, 60_000);
  afterAll(async () => {
    setDefaultCACertificates(trusted);
    await at.close();
    await push.close();
    rmSync(folder, { recursive: true });
  });

  it('upon a press, with a notice that its worker shows, until it is told no more', async () => {
    const page = await at.page('/', { serviceWorkers: 'allow', permissions: ['notifications'] });
    await subscribeAt(page.context(), push.subscription);
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
    await page.goto(`${at.address}/wells/barn/condition`);
    await page.getByText('This browser is not told of alarms').waitFor();
    await page.getByRole('button', { name: 'Tell this browser' }).click();
    await page.getByText('Not done: write your name first').waitFor();
    await page.getByLabel('Your name').fill('Upstairs');
    await page.getByRole('button', { name: 'Tell this browser' }).click();
    await page.getByText('This browser is told of alarms').waitFor();
    expect(await violations(page)).toEqual([]);

    await page.getByRole('button', { name: 'Send a test to all' }).click();
    await page.getByText(/upstairs-[0-9a-f]{8}: taken\./).waitFor();
    const message = push.open(push.received[0]!).toString();
    // A browser at its limits may let a delivery go by; a push service sends it again.
    const shown = async () => {
      await deliver(page, message);
      return page.evaluate(async () => {
        const worker = await navigator.serviceWorker.ready;
        const [notice] = await worker.getNotifications();
        return notice && { title: notice.title, body: notice.body, data: notice.data };
      });
    };
    await expect.poll(shown, { timeout: 20_000, interval: 1000 }).toEqual({
      title: expect.stringMatching(/^Test: this is how upstairs-[0-9a-f]{8} is told$/),
      body: JSON.parse(message).text,
      data: { place: '/wells/barn/condition' },
    });

    await page.getByRole('button', { name: 'Tell this browser no more' }).click();
    await page.getByText('This browser is not told of alarms').waitFor();
    expect(at.on.service.alarms.subscriptions?.subscribers).toEqual([]);
    expect(at.faults).toEqual([]);
  });
});
