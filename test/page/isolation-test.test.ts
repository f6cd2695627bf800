import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { beforeTests } from '../guided/house.ts';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { hasBrowser, violations } from './opened.ts';
import { timeLapse } from './time-lapse.ts';

/** A fitting in the house weeps from the second day on; on the fourth somebody wants to know. */
const LOG = rehearsedLog({
  ...{ letter: 'C', days: 3.6, seed: 61, restS: 20, bucketDays: [0.6] },
  faults: [{ name: 'leak-house', onsetDay: 1, growthDays: 0, severity: 0.5 }],
  tests: [['isolation_test', 3.3]],
});
const ID = LOG.well.id;
const [SHUT, OPEN] = LOG.well.otherTests;

describe.runIf(hasBrowser)('an isolation test by the page', () => {
  let at: Awaited<ReturnType<typeof timeLapse>>;
  beforeAll(async () => {
    at = await timeLapse(LOG, [beforeTests(LOG.toml, 'isolation_test')]);
    await at.upTo(SHUT!.startS - 400);
  }, 90_000);
  afterAll(() => at.close());

  it('is asked for by the leak, and decides its side', async () => {
    const page = await at.page(`/wells/${ID}/tests`, { viewport: { width: 390, height: 844 } });
    const first = page.locator('.test-list > li').first();
    await first.getByRole('heading', { name: 'isolation test' }).waitFor();
    await first.getByText(/A finding asks for it: .*water leaks/).waitFor();
    await first.getByRole('button', { name: 'Begin the isolation test' }).press('Enter');
    const panel = page.getByRole('region', { name: 'Under way: isolation test' });
    const relief = panel.locator('li[aria-current="step"] [data-caution="relief-works-first"]');
    await relief.waitFor();
    const done = panel.getByRole('button', { name: 'It is done' });
    await done.press('Enter');
    await panel
      .getByText(/At rest for/)
      .first()
      .waitFor();
    await at.live(SHUT!.startS);
    await done.click();
    await panel
      .getByText(/^\d+ s of 30 min\./)
      .first()
      .waitFor();
    await at.live(SHUT!.startS + 1860);
    await done.click();
    await at.live(OPEN!.startS + 1980);
    await panel.getByText(/Share of the loss on the house side/).waitFor();
    const said = await panel.locator('.outcome').textContent();
    expect(said).toMatch(/Fits best: water leaks on the house side/);
    expect(said).toMatch(/Speaks against: the check valve/);
    expect(await violations(page)).toEqual([]);
    await panel.getByRole('button', { name: 'Write it into the well file' }).click();
    await page.getByRole('article', { name: /^isolation test/ }).waitFor();
    const { body } = await at.on.get(`wells/${ID}/file-text`);
    expect(body.text.match(/house_valve = "(shut|open)"/g)).toHaveLength(2);
    // What it found weighs in the findings: the side is named.
    await expect
      .poll(async () => {
        const { body: now } = await at.on.get(`wells/${ID}/now`);
        return now.findings.find(({ fault }: { fault: string }) => fault.includes('leak'))?.fault;
      })
      .toBe('leak-house');
    expect(at.faults).toEqual([]);
  }, 120_000);
});
