import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Study } from '../../src/model/study.ts';
import { type RehearsedLog, rehearsedLog, studied } from '../support/rehearsed-log.ts';
import { hasBrowser, violations } from './opened.ts';
import { timeLapse } from './time-lapse.ts';

const PSI_PA = 6894.757293168361;
const LOG = rehearsedLog({ letter: 'C', days: 2, seed: 61, restS: 10 });
const ID = LOG.well.id;
const PRESSURE = LOG.timeS.flatMap((timeS, i) =>
  LOG.channel[i] === 0 ? [{ timeS, pa: LOG.value[i]! }] : [],
);
/** As the papers of the sensor have it; the one that is there gives 4 % less and 0.2 V more. */
const PAPERS = `
[[calibration]]
channel = "pressure"
sensor = "tee-1"
from = 2026-04-06T00:00:00Z
raw = "V"
points = [["0.5 V", "0 psi"], ["4.5 V", "100 psi"]]
`;
const voltsOf = (pa: number): number => 0.7 + (0.96 * 0.04 * pa) / PSI_PA;

/** A device that sends volts of its pressure sensor. */
async function sendRaw(
  on: { api: string },
  log: RehearsedLog,
  { fromS, toS }: { fromS: number; toS: number },
): Promise<void> {
  const records = log.timeS.flatMap((t, i) => {
    if (t < fromS || t >= toS) return [];
    const value = log.value[i]!;
    return log.channel[i] === 0
      ? [{ n: 'pressure-raw', u: 'V', t, v: voltsOf(value) }]
      : [{ n: 'current', u: 'A', t, v: value }];
  });
  for (let at = 0; at < records.length; at += 2000)
    await fetch(`${on.api}/wells/${log.well.id}/readings`, {
      method: 'POST',
      headers: { 'content-type': 'application/senml+json', 'content-encoding': 'gzip' },
      body: gzipSync(JSON.stringify(records.slice(at, at + 2000))),
    });
}

/** What a good gauge shows at a time, psi: the mean of the true pressure; null while it moves. */
function gaugeAt(timeS: number): number | null {
  const near = PRESSURE.filter((one) => one.timeS > timeS - 20 && one.timeS < timeS);
  const psi = near.map(({ pa }) => pa / PSI_PA);
  const mean = psi.reduce((sum, one) => sum + one, 0) / psi.length;
  return Math.max(...psi) - Math.min(...psi) < 0.8 ? mean : null;
}

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
    let timeS = startS;
    for (const [k, wanted] of [46, 33, 41, 36].entries()) {
      const shows = () => gaugeAt(timeS) ?? Number.NaN;
      while (!(Math.abs(shows() - wanted) < 1.5)) timeS += 60;
      await at.upTo(timeS);
      await panel.getByLabel('The gauge shows').fill(`${shows().toFixed(1)} psi`);
      await panel.getByRole('button', { name: 'Take this point' }).click();
      await panel.getByRole('button', { name: `Leave out point ${k + 1}` }).waitFor();
    }
    expect(await violations(page)).toEqual([]);
    expect(await panel.getByRole('button', { name: /^Write it/ }).isDisabled()).toBe(true);
    await panel.getByRole('button', { name: 'Compare the last days under both' }).click();
    const table = panel.getByRole('table', { name: 'The last days, before and after' });
    await table.waitFor();
    expect(await table.getByRole('row', { name: /^Cut-in/ }).textContent()).toMatch(/psi/);
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
