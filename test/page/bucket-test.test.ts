import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { beforeTests } from '../guided/house.ts';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { hasBrowser, violations } from './opened.ts';
import { timeLapse } from './time-lapse.ts';

const LOG = rehearsedLog({ letter: 'C', days: 2, seed: 61, restS: 5, bucketDays: [1] });
const ID = LOG.well.id;
const TEST = LOG.well.bucketTests[0]!;
const GALLON_M3 = 231 * 0.0254 ** 3;
/** The well is read again by its new file first. */
const LONG = { timeout: 20_000 };
const VOLUME = `${(TEST.volumeM3 / GALLON_M3).toFixed(2)} gal`;

describe.runIf(hasBrowser)('a bucket test by the page', () => {
  let at: Awaited<ReturnType<typeof timeLapse>>;
  beforeAll(async () => {
    at = await timeLapse(LOG, [beforeTests(LOG.toml)]);
    await at.upTo(TEST.startS - 60);
  }, 60_000);
  afterAll(() => at.close());

  it('is led by the readings, left and come back to, and stands in the file', async () => {
    const page = await at.page(`/wells/${ID}/tests`, { viewport: { width: 390, height: 844 } });
    await page.getByRole('button', { name: 'Begin the bucket test' }).click();
    const panel = page.getByRole('region', { name: 'Under way: bucket test' });
    await panel
      .getByText(/At rest for .* of 5 min 10 s\./)
      .first()
      .waitFor();
    expect(await violations(page)).toEqual([]);
    await at.live(TEST.startS - 10);
    const done = panel.getByRole('button', { name: 'It is done' });
    await done.click();
    await panel.getByText('Draw now: the pressure does not fall yet.').first().waitFor();
    await at.live(TEST.startS + 60);
    await panel.getByText('Water runs: the pressure falls.').first().waitFor();
    // Whoever closes the page finds the test where it is.
    await page.close();
    await at.live(TEST.stopS + 120);
    const later = await at.page(`/wells/${ID}/tests`, { viewport: { width: 1440, height: 900 } });
    const back = later.getByRole('region', { name: 'Under way: bucket test' });
    await back
      .getByText(/Pressure settles: .* of 5 min 10 s\./)
      .first()
      .waitFor();
    await back.getByLabel('Volume drawn').fill('5.87');
    await back.getByRole('button', { name: 'Note it' }).click();
    await later.getByText(/expected .*found/).waitFor();
    await back.getByLabel('Volume drawn').fill(VOLUME);
    await back.getByLabel('Volume drawn').press('Enter');
    await back.getByText(`noted: ${VOLUME}`).waitFor();
    await at.live(TEST.stopS + 360);
    await back
      .getByText(/above cut-in, so the pump waits/)
      .first()
      .waitFor();
    expect(await violations(later)).toEqual([]);
    await at.live(TEST.stopS + 900);
    await back.getByText('tank constant').waitFor();
    await back.getByRole('button', { name: 'Write it into the well file' }).click();
    const made = later.getByRole('article', { name: /^bucket test, / });
    await made.getByRole('heading', { name: /in the well file/ }).waitFor();
    expect(await violations(later)).toEqual([]);
    const { body } = await at.on.get(`wells/${ID}/file-text`);
    expect(body.text).toMatch(
      /\[\[bucket_test\]\]\nstart = 2026-\S+\nstop = 2026-\S+\nvolume = "\d\.\d\d gal"\n$/,
    );
    // What the sheet said is what a study of the new file says.
    await expect
      .poll(async () => (await at.on.get(`wells/${ID}/outline`)).body.scale.at(-1).basis, LONG)
      .toBe('bucket-test');
    expect(at.faults).toEqual([]);
  }, 60_000);
});
