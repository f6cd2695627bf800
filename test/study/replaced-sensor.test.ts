import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { studyLogs } from '../../src/cli/commands/study.ts';
import { parseWellFile } from '../../src/wellfile/parse.ts';

const folder = mkdtempSync(join(tmpdir(), 'wellwright-'));
afterAll(() => rmSync(folder, { recursive: true }));

const START_S = Date.UTC(2026, 3, 6) / 1000;
const HOUR_S = 3600;
const at = (hours: number) => new Date((START_S + hours * HOUR_S) * 1000).toISOString();

/** Twelve hours of rest at a steady voltage, a reading each 10 s, with noise of a step. */
const log = join(folder, 'raw.csv');
const rows = Array.from({ length: 12 * 360 }, (_, i) => {
  const volts = 2 + 0.001 * ((i * 7) % 3);
  return `${START_S + 10 * i},${volts.toFixed(3)},0.02`;
});
writeFileSync(log, `time,pressure-raw [V],current [A]\n${rows.join('\n')}\n`);

const calibration = (sensor: string, hours: number, zeroV: number) =>
  `[[calibration]]\nchannel = "pressure"\nsensor = "${sensor}"\nfrom = ${at(hours)}\nraw = "V"\n` +
  `points = [["${zeroV} V", "0 psi", "0.3 psi"], ["${zeroV + 1.6} V", "60 psi", "0.3 psi"]]\n`;
const replaced = `[[service]]\non = ${at(4)}\ndid = "new sensor"\nresets = ["pressure-sensor"]\n`;

async function studied(...tables: string[]) {
  const read = parseWellFile(`name = "Alder barn"\naltitude = "0 ft"\n${tables.join('')}`);
  if (!read.ok) throw new Error(JSON.stringify(read.issues));
  const study = await studyLogs(read.well, [log], { columns: {}, told: [] });
  const uncalibrated = study.span.setAside['no-calibration'] ?? 0;
  return { study, uncalibrated };
}

it('a new sensor does not inherit the calibration of the old one', async () => {
  const inherited = await studied(calibration('tee-1', 0, 0.5));
  expect(inherited.uncalibrated).toBe(0);
  const own = await studied(calibration('tee-1', 0, 0.5), replaced, calibration('tee-2', 6, 0.6));
  // From the fourth to the sixth hour it had none.
  expect(own.uncalibrated).toBe(2 * 360);
  expect(own.study.told.join('\n')).toMatch(/\(tee-1\) ended on .*04:00:00.* with its sensor/);
});

it('a calibration written later mends the past', async () => {
  const before = await studied(calibration('tee-1', 6, 0.5));
  expect(before.uncalibrated).toBe(6 * 360);
  const after = await studied(calibration('tee-1', 6, 0.5), calibration('tee-1', 0, 0.5));
  expect(after.uncalibrated).toBe(0);
});

it('nothing changes for who never replaced a sensor', async () => {
  const plain = await studied(calibration('tee-1', 0, 0.5));
  const other = replaced.replace('pressure-sensor', 'current-sensor');
  const served = await studied(calibration('tee-1', 0, 0.5), other);
  expect(served.uncalibrated).toBe(plain.uncalibrated);
});

describe('counts and volts', () => {
  /** Two hours at a reading a second: a run of five minutes each half hour. */
  const counted = join(folder, 'counts.csv');
  const isOn = (s: number) => s % 1800 >= 900 && s % 1800 < 1200;
  const seconds = Array.from({ length: 2 * HOUR_S }, (_, s) => {
    const filled = isOn(s) ? ((s % 1800) - 900) / 300 : 1 - ((s + 600) % 1800) / 1500;
    const volts = 1.57 + 0.53 * filled + 0.001 * (s % 3);
    return `${START_S + s},${volts.toFixed(3)},${isOn(s) ? 310 + (s % 2) : s % 2}`;
  });
  writeFileSync(counted, `time,pressure-raw [V],current-raw [count]\n${seconds.join('\n')}\n`);
  const amps = (fromHours: number, countsAt8A: number) =>
    `[[calibration]]\nchannel = "current"\nfrom = ${at(fromHours)}\nraw = "count"\n` +
    `points = [["0 count", "0 A", "0.05 A"], ["${countsAt8A} count", "8 A", "0.1 A"]]\n`;
  const runsOf = async (...tables: string[]) => {
    const read = parseWellFile(`name = "Alder barn"\naltitude = "0 ft"\n${tables.join('')}`);
    if (!read.ok) throw new Error(JSON.stringify(read.issues));
    const study = await studyLogs(read.well, [counted], { columns: {}, told: [] });
    return study.runs;
  };

  it('become pressure and current, and a later calibration mends what was recorded', async () => {
    const runs = await runsOf(calibration('tee-1', 0, 0.503), amps(0, 310));
    expect(runs.length).toBeGreaterThanOrEqual(3);
    for (const { meanCurrentA, cutOutPaGauge } of runs) {
      expect(Math.abs((meanCurrentA ?? 0) - 8)).toBeLessThan(0.1);
      // 2.103 V by 60 psi over 1.6 V from 0.503 V.
      expect(Math.abs((cutOutPaGauge ?? 0) / 6894.757 - 60)).toBeLessThan(1.5);
    }
    // The clamp meter shows later that 310 counts were 12 A all along.
    const mended = await runsOf(
      calibration('tee-1', 0, 0.503),
      amps(0, 310),
      amps(1 / HOUR_S, (310 * 8) / 12),
    );
    expect(mended.map(({ start }) => start)).toEqual(runs.map(({ start }) => start));
    for (const { meanCurrentA } of mended) {
      expect(Math.abs((meanCurrentA ?? 0) - 12)).toBeLessThan(0.15);
    }
  });
});
