import type { Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { drawn, hasBrowser, opened, send, violations } from './opened.ts';

/** The pump is not switched on from noon; the line runs empty, and half past one it is mended. */
const MENDED_DAY = 13.5 / 24;
const LOG = rehearsedLog({
  ...{ letter: 'C', days: 0.59, seed: 61, restS: 20 },
  faults: [{ name: 'switch-no-start', onsetDay: 0.5, growthDays: 0, mendedDay: MENDED_DAY }],
});
const ID = LOG.well.id;
const dayS = (hour: number, minute: number) =>
  Date.parse('2026-04-06T00:00:00Z') / 1000 + hour * 3600 + minute * 60;
const [SOUND_S, WRONG_S, MENDED_S] = [dayS(13, 20), dayS(13, 27), dayS(13, 45)];
const SHIFT_S = Math.floor(Date.now() / 1000) - 30 - MENDED_S;

/** Acknowledges and shelves a finding's alarm by keys, and reads that in words and record. */
async function actsOn(page: Page, finding: Locator): Promise<void> {
  const press = async (name: string) => {
    await finding.getByRole('button', { name, exact: true }).focus();
    await page.keyboard.press('Enter');
  };
  await finding.getByText('Nobody has said that they have seen it.').waitFor();
  await press('I have seen it');
  await finding.getByText('Not done: write your name first').waitFor();
  await finding.getByLabel('Your name').fill('Upstairs');
  await page.context().setOffline(true);
  await page.getByText(/^Not live: /).waitFor();
  await press('I have seen it');
  await finding.getByText('Not done: the service cannot be reached now').waitFor();
  await page.context().setOffline(false);
  await page.getByRole('banner').getByText('live', { exact: true }).waitFor();
  await press('I have seen it');
  await finding.getByText(/^Seen by Upstairs, 20\d\d-/).waitFor();
  expect(await page.evaluate(() => document.activeElement?.textContent)).toBe(
    'Written down: you have seen it.',
  );
  // What cannot wait is shelved for half a day at most.
  const hours = finding.getByRole('combobox', { name: 'for' });
  expect(await hours.locator('option').allTextContents()).toEqual([
    ...['1 hour', '4 hours', '12 hours'],
  ]);
  await hours.selectOption({ label: '1 hour' });
  await press('Shelve');
  await finding.getByText(/^Shelved by Upstairs: not told until 20\d\d-/).waitFor();
  expect(await violations(page)).toEqual([]);
  await press('Take off the shelf');
  await finding.getByText(/^Shelved by Upstairs/).waitFor({ state: 'detached' });
  await page.getByText('Record of alarms').click();
  const record = page.getByRole('region', { name: 'Record of alarms' });
  await record.getByText(/the pump is not switched on: came off the shelf, by Upstairs/).waitFor();
  await record.getByText(/: was shelved, by Upstairs, until 20/).waitFor();
  await page.getByRole('button', { name: 'Send a test to all' }).click();
  await page.getByText(/^Nobody is told: this service was started without a receiver/).waitFor();
  // The name is known from now on, on this device.
  await page.reload();
  await finding.getByText('as Upstairs').waitFor();
}

describe.runIf(hasBrowser)('the page, live', () => {
  let at: Awaited<ReturnType<typeof opened>>;
  beforeAll(async () => {
    at = await opened([LOG.toml]);
    await send(at.on, LOG, { toS: SOUND_S, shiftS: SHIFT_S });
    await at.on.service.wells.advance();
  }, 60_000);
  afterAll(() => at.close());

  it('shows a fault as it appears and clears, with its cautions, without being asked', async () => {
    const well = await at.page(`/wells/${ID}`);
    const condition = await at.page(`/wells/${ID}/condition`);
    await well.getByText(/^There is water: .* Nothing needs doing\./).waitFor();
    await condition.getByText('Nothing is wrong that these readings can tell.').waitFor();

    await send(at.on, LOG, { fromS: SOUND_S, toS: WRONG_S, shiftS: SHIFT_S });
    const sentence = 'Water cannot be counted on: the pump is not switched on.';
    await well.getByText(sentence).waitFor({ timeout: 40_000 });
    const wrong = condition.getByRole('region', { name: 'What is wrong' });
    const finding = wrong.getByRole('article', { name: 'the pump is not switched on' });
    await finding.waitFor();
    await drawn(condition);
    expect(await finding.getByRole('heading', { level: 3 }).textContent()).toContain('Now:');
    const cautions = finding.locator('[data-caution]');
    const ids = await cautions.evaluateAll((all) =>
      all.map((one) => (one as HTMLElement).dataset.caution),
    );
    expect(ids).toContain('breaker-reset-once');
    const strip = finding.getByRole('img', { name: /^Where it was seen, / });
    expect(await strip.getAttribute('aria-label')).toMatch(/is marked by its number: 1\.$/);
    await finding
      .locator('.evidence li')
      .filter({ hasText: /20\d\d-\d\d-\d\d \d\d:\d\d/ })
      .waitFor();
    expect(ids).toContain('mains-by-electrician');
    expect(await finding.getByText('What else it could be').isVisible()).toBe(true);
    expect(await violations(condition)).toEqual([]);
    await actsOn(condition, finding);

    await send(at.on, LOG, { fromS: WRONG_S, toS: MENDED_S, shiftS: SHIFT_S });
    await well.getByText(/^There is water: .* Nothing needs doing\./).waitFor({ timeout: 40_000 });
    await finding.waitFor({ state: 'detached' });
    await condition.getByText(/The pump is not switched on, .* to /).waitFor();
    // Its alarm stands until that has lasted some minutes, as seen.
    await condition
      .getByRole('article')
      .getByText(/^Seen by Upstairs/)
      .waitFor();
    expect(at.faults).toEqual([]);
    await well.context().close();
    await condition.context().close();
  });

  it('says at once when it is not live, and goes on by itself', async () => {
    const page = await at.page(`/wells/${ID}`);
    const state = page.getByRole('banner').getByRole('status');
    await expect.poll(() => state.textContent()).toBe('live');
    await page.context().setOffline(true);
    await page.getByText(/^Not live: the service cannot be reached\./).waitFor({ timeout: 2000 });
    expect(await state.textContent()).toBe('not live');
    await page.getByText(/^Whether there is water is not known now\./).waitFor();
    await page.context().setOffline(false);
    await expect.poll(() => state.textContent()).toBe('live');
    await page.getByText(/^There is water: /).waitFor();
    await page.context().close();
  });

  it('goes on by itself where its first questions were not answered', async () => {
    const page = await at.page('/nowhere-yet');
    await page.route('**/api/v1/wells', (route) => route.abort());
    await page.goto(`${at.address}/wells/${ID}`);
    await page.getByText('Not live: the service cannot be reached, and nothing is kept').waitFor();
    await page.unroute('**/api/v1/wells');
    await page.getByText(/^There is water: /).waitFor();
    await page.context().close();
  });

  it('says of a device whose clock is wrong by how much', async () => {
    const page = await at.page('/nowhere-yet');
    const clocks = [
      { device: 'tee', since: '2026-04-06T12:00:00Z', behindS: 5400, apartUntil: null },
      {
        ...{ device: '', since: '2026-04-06T12:00:00Z', behindS: -600 },
        apartUntil: '2026-04-06T14:00:00Z',
      },
    ];
    // It takes a device more than a minute to be found out: the rest of the answer is as it is.
    await page.route('**/now', async (route) => {
      const response = await route.fetch();
      await route.fulfill({ response, json: { ...(await response.json()), clocks } });
    });
    await page.goto(`${at.address}/wells/${ID}`);
    const notices = page.getByRole('alert');
    await notices.getByText('The clock of device “tee” is 90 min behind: set it.').waitFor();
    await notices.getByText(/^The clock of the device is 10 min ahead: set it\. Its/).waitFor();
    await page.context().close();
  });

  it('says of a device that is silent for longer than usual since when it is', async () => {
    const page = await at.page('/nowhere-yet');
    // The service judges that by its own clock: the rest of the answer is as it is.
    const silence = { since: '2026-04-06T12:00:00Z', forS: 240, usualS: 180, urgency: null };
    await page.route('**/now', async (route) => {
      const response = await route.fetch();
      await route.fulfill({ response, json: { ...(await response.json()), silence } });
    });
    await page.goto(`${at.address}/wells/${ID}`);
    const notice = page.getByRole('alert').getByText(/^The device is silent: no reading since/);
    expect(await notice.textContent()).toMatch(/since 2026-04-06 \d\d:00\.$/);
    await page.context().close();
  });

  it('tells a connection that has gone silent from one where nothing happens', async () => {
    const page = await at.page(`/wells/${ID}`);
    const state = page.getByRole('banner').getByRole('status');
    await expect.poll(() => state.textContent()).toBe('live');
    // Longer than it waits for a word of the service: it has had its words.
    await page.waitForTimeout(14_000);
    expect(await state.textContent()).toBe('live');
    await page.context().close();
  });

  it('opens without the service, with the last state marked as old', async () => {
    const page = await at.page(`/wells/${ID}`, { serviceWorkers: 'allow' });
    await drawn(page);
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
    // Once more, so that the worker has seen the answers.
    await page.goto(`${at.address}/wells/${ID}/condition`);
    await drawn(page);
    await page.goto(`${at.address}/wells/${ID}`);
    await drawn(page);
    const session = await page.context().newCDPSession(page);
    // What Chromium asks of a page before it offers to install it: all but to be no guest.
    const { installabilityErrors } = await session.send('Page.getInstallabilityErrors');
    expect(installabilityErrors.map(({ errorId }) => errorId)).toEqual(['in-incognito']);
    const pressure = await page.locator('dd').first().textContent();
    await page.context().setOffline(true);
    await page.reload();
    await page.getByText(/What stands here is of \d{4}-\d\d-\d\d \d\d:\d\d/).waitFor();
    expect(await page.locator('dd').first().textContent()).toBe(pressure);
    expect(await page.getByRole('img', { name: 'Section of the well' }).isVisible()).toBe(true);
    // Who has seen what can be read, too.
    await page.getByRole('link', { name: 'Condition' }).click();
    await page.getByRole('article').getByText('Seen by Upstairs').waitFor();
    await page.context().close();
  });
});
