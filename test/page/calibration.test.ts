import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Study } from '../../src/model/study.ts';
import { gaugeOf, PSI_PA, sendRaw } from '../support/raw-sensor.ts';
import { rehearsedLog, studied } from '../support/rehearsed-log.ts';
import { hasBrowser, violations } from './opened.ts';
import { timeLapse } from './time-lapse.ts';

const LOG = rehearsedLog({ letter: 'C', days: 2, seed: 61, restS: 10 });
const ID = LOG.well.id;
/** As the papers of the sensor have it; the one that is there gives other volts. */
const PAPERS = `
[[calibration]]
channel = "pressure"
sensor = "tee-1"
from = 2026-04-06T00:00:00Z
raw = "V"
points = [["0.5 V", "0 psi"], ["4.5 V", "100 psi"]]
`;

describe.runIf(hasBrowser)('a calibration by the page', () => {
  let at: Awaited<ReturnType<typeof timeLapse>>;
  const startS = LOG.timeS[0]! + 86_400 + 6 * 3600;
  beforeAll(async () => {
    at = await timeLapse(LOG, [LOG.toml + PAPERS], (on, span) => sendRaw(on, LOG, span));
    await at.upTo(startS);
  }, 60_000);
  afterAll(() => at.close());

  it('is made point by point, shows what it does to the past, and mends it', async () => {
    const page = await at.page(`/wells/${ID}/gauges`, { viewport: { width: 390, height: 844 } });
    const panel = page.getByRole('region', { name: 'Pressure gauge' });
    await panel.getByRole('button', { name: 'Calibrate pressure' }).click();
    // Four pressures that lie apart, as the house draws them.
    const gauge = gaugeOf(LOG);
    let timeS = startS;
    for (const [k, wanted] of [46, 33, 41, 36].entries()) {
      const shows = () => gauge(timeS) ?? Number.NaN;
      while (!(Math.abs(shows() - wanted) < 1.5)) timeS += 60;
      await at.upTo(timeS);
      await panel.getByLabel('The gauge shows').fill(`${shows().toFixed(1)} psi`);
      await panel.getByRole('button', { name: 'Take this point' }).click();
      await panel.getByRole('button', { name: `Leave out point ${k + 1}` }).waitFor();
    }
    expect(await violations(page)).toEqual([]);
    // What it does to the past is seen before it is taken.
    expect(await panel.getByRole('button', { name: /^Write it/ }).isDisabled()).toBe(true);
    await panel.getByRole('button', { name: 'Compare the last days under both' }).click();
    const table = panel.getByRole('table', { name: 'The last days, before and after' });
    const cutIn = await table.getByRole('row', { name: /^Cut-in/ }).textContent();
    expect(cutIn).toMatch(/±\s[\d.]+\spsi.*±\s[\d.]+\spsi-\d\.\d+\spsi/);
    const used = table.getByRole('row', { name: /^Used on/ }).first();
    expect(await used.textContent()).toMatch(/±\s\d+\sgal.*±\s\d+\sgal/);
    await page.setViewportSize({ width: 1440, height: 900 });
    expect(await violations(page)).toEqual([]);
    await panel.getByRole('button', { name: 'Write it into the well file' }).click();
    await panel.getByRole('button', { name: 'Calibrate pressure' }).waitFor();
    const { body } = await at.on.get(`wells/${ID}/file-text`);
    expect(body.text.match(/\[\[calibration\]\]/g)).toHaveLength(2);
    // Runs of before it was made are what they truly were, within what the gauge was read to.
    const { runs } = (await at.on.get(`wells/${ID}/study`)).body as Study;
    const truth = studied(LOG).runs;
    for (const [k, run] of runs.slice(0, 4).entries()) {
      const off = run.cutOutPaGauge! - truth[k]!.cutOutPaGauge!;
      expect(Math.abs(off)).toBeLessThan(0.3 * PSI_PA);
    }
    expect(at.faults).toEqual([]);
  }, 60_000);
});
