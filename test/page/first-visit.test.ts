import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { gaugeOf, sendRaw } from '../support/raw-sensor.ts';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { hasBrowser, violations } from './opened.ts';
import { timeLapse } from './time-lapse.ts';

const LOG = rehearsedLog({ letter: 'C', days: 2, seed: 61, restS: 10, bucketDays: [1] });
const TEST = LOG.well.bucketTests[0]!;
const GALLON_M3 = 231 * 0.0254 ** 3;
const ID = 'gravel-bend';
/** What the stranger knows; all else is not known. */
const KNOWN: Record<string, string> = {
  'What is the well called?': 'Gravel bend',
  'Pressure at which the pump starts (cut-in)?': '30 psi',
  'Pressure at which the pump stops (cut-out)?': '50 psi',
};

describe.runIf(hasBrowser)('a stranger at an empty service', () => {
  let at: Awaited<ReturnType<typeof timeLapse>>;
  beforeAll(async () => {
    at = await timeLapse(LOG, [], async (on, span) => {
      if (at?.on.service.names.has(ID)) await sendRaw(on, LOG, { ...span, wellId: ID });
    });
  }, 60_000);
  afterAll(() => at.close());

  it('comes to a calibrated, bucket-tested well by the page alone', async () => {
    const page = await at.page('/', { viewport: { width: 390, height: 844 } });
    await page.getByRole('heading', { name: 'A new well' }).waitFor();
    expect(await violations(page)).toEqual([]);
    for (const [question, answer] of Object.entries(KNOWN)) {
      const field = page.getByLabel(question);
      while (!(await field.isVisible()))
        await page.getByRole('button', { name: 'I don’t know' }).click();
      await field.fill('30 ft');
      await field.press('Enter');
      if (question !== 'What is the well called?')
        await page.getByText(/^expected .*found/).waitFor();
      else await page.getByRole('button', { name: 'Back' }).click();
      await field.fill(answer);
      await field.press('Enter');
      await field.waitFor({ state: 'detached' });
    }
    await page.getByRole('button', { name: 'The rest is not known' }).click();
    await page.getByText('cut_in = "30 psi"').waitFor();
    expect(await violations(page)).toEqual([]);
    await page.getByRole('button', { name: 'Make this well' }).click();

    await page.getByText('No reading has come yet. The first one shows here').waitFor();
    expect(new URL(page.url()).pathname).toBe(`/wells/${ID}`);
    await page.getByText(`POST ${at.address}/api/v1/wells/${ID}/readings`).waitFor();
    expect(await violations(page)).toEqual([]);
    await at.upTo(LOG.timeS[0]! + 60);
    await page.getByText(/^Readings arrive: \d+ so far/).waitFor();
    const zero = page
      .getByRole('listitem')
      .filter({ hasText: 'Compare the pressure with a gauge' });
    await zero.getByText('to do').waitFor();

    // It sends volts, so nothing can be said before the gauge was read beside them.
    const gauge = gaugeOf(LOG);
    const calibratedS = TEST.startS - 4 * 3600;
    await at.upTo(calibratedS);
    await zero.getByRole('link', { name: 'Go to Gauges' }).click();
    const panel = page.getByRole('region', { name: 'Pressure gauge' });
    await panel.getByRole('button', { name: 'Calibrate pressure' }).click();
    let timeS = calibratedS;
    for (const [k, wanted] of [46, 34, 40].entries()) {
      const shows = () => gauge(timeS) ?? Number.NaN;
      while (!(Math.abs(shows() - wanted) < 2)) timeS += 30;
      await at.upTo(timeS);
      await panel.getByLabel('The gauge shows').fill(`${shows().toFixed(1)} psi`);
      await panel.getByRole('button', { name: 'Take this point' }).click();
      await panel.getByRole('button', { name: `Leave out point ${k + 1}` }).waitFor();
    }
    await panel.getByRole('button', { name: 'Compare the last days under both' }).click();
    await panel.getByRole('table', { name: 'The last days, before and after' }).waitFor();
    await panel.getByText('No calibration was in force, so no pressure could be read').waitFor();
    await panel.getByRole('button', { name: 'Write it into the well file' }).click();
    await panel.getByText(/by the calibration since/).waitFor();
    expect(timeS).toBeLessThan(TEST.startS - 400);

    await page.goto(`${at.address}/wells/${ID}/tests`);
    await at.upTo(TEST.startS - 60);
    await page.getByRole('button', { name: 'Begin the bucket test' }).click();
    const test = page.getByRole('region', { name: 'Under way: bucket test' });
    await test
      .getByText(/At rest for/)
      .first()
      .waitFor();
    await at.live(TEST.startS - 8);
    await test.getByRole('button', { name: 'It is done' }).click();
    await at.live(TEST.stopS + 60);
    await test.getByLabel('Volume drawn').fill(`${(TEST.volumeM3 / GALLON_M3).toFixed(2)} gal`);
    await test.getByRole('button', { name: 'Note it' }).click();
    await at.live(TEST.stopS + 900);
    await test.getByText('Tank constant').waitFor();
    await test.getByRole('button', { name: 'Write it into the well file' }).click();
    await page.getByRole('article', { name: /^bucket test/ }).waitFor();

    await page.goto(`${at.address}/wells/${ID}`);
    // What its volts come to is known now, and with twelve runs the first steps are folded.
    await page.getByText(/^There is water: /).waitFor();
    await page.locator('details.first-steps > summary').click();
    const step = (text: string) => page.getByRole('listitem').filter({ hasText: text });
    for (const made of ['The device sends pressure', 'Compare the pressure with'])
      await step(made).getByText('done', { exact: true }).waitFor();
    await step('Bucket test').getByText('done 1 of 3 times').waitFor();
    expect(await violations(page)).toEqual([]);
    expect(at.faults).toEqual([]);
  }, 120_000);
});
