import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
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
const replaced =
  `[[service]]\non = ${at(4)}\ndid = "new transducer"\n` + 'resets = ["pressure-sensor"]\n';

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
