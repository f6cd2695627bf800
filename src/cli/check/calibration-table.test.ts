import fc from 'fast-check';
import { expect, it } from 'vitest';
import { createCalibration } from '../../analysis/calibration/calibration.ts';
import { stdAt, valueAt, xAt } from '../../base/line.ts';
import { calibrate } from '../../instruments/index.ts';
import { CHANNELS } from '../../model/reading.ts';
import { parseWellFile } from '../../wellfile/parse.ts';
import { calibrationTable } from './calibration-table.ts';

const PSI = 6894.757293168361;
const START_S = Date.UTC(2026, 3, 1) / 1000;

const options = (channel: 'pressure' | 'current', units: 'us' | 'si') =>
  ({ channel, raw: 'V', units, use: null }) as const;
const parsed = (table: string[]) => {
  const read = parseWellFile(`name = "Bend"\n${table.join('\n')}\n`);
  if (!read.ok) throw new Error(JSON.stringify(read.issues));
  return read.well.calibrations;
};

it('gives in the well file the line that was fitted, within its own doubt', () => {
  const noise = fc.array(fc.integer({ min: 0, max: 100 }), { minLength: 4, maxLength: 4 });
  fc.assert(
    fc.property(
      noise,
      fc.constantFrom('pressure', 'current'),
      fc.constantFrom('us', 'si'),
      (off, channel, units) => {
        const one = channel === 'pressure' ? PSI : 0.2;
        const pairs = off.map((part, i) => ({
          raw: 0.5 + 0.5 * i,
          rawStd: 0.002,
          reference: one * (12 * i + 0.008 * part),
          referenceStd: 0.4 * one,
          atS: START_S + 600 * i + 0.25,
        }));
        const report = calibrate(pairs, options(channel, units));
        const records = parsed(calibrationTable(pairs, report));
        expect(records).toHaveLength(1);
        expect(records[0]).toMatchObject({ channel, raw: 'V', fromS: START_S });
        const number = CHANNELS.indexOf(channel);
        const read = createCalibration(records).inForce(number, START_S)!.line!;
        for (const value of [0, 20 * one, 40 * one]) {
          const raw = xAt(report.line!, value);
          const std = stdAt(report.line!, raw);
          expect(Math.abs(valueAt(read, raw) - value)).toBeLessThan(0.1 * std);
          expect(stdAt(read, raw) / std).toBeCloseTo(1, 1);
        }
      },
    ),
  );
});

it('leaves open what the pairs do not tell', () => {
  const bare = [0, 8].map((reference) => ({
    raw: reference / 10,
    rawStd: Number.NaN,
    reference,
    referenceStd: Number.NaN,
    atS: null,
  }));
  const table = calibrationTable(bare, calibrate(bare, options('current', 'us')));
  expect(table.join('\n')).toMatch(/^# from = /m);
  expect(table).toContain('  ["0.8 V", "8 A"],');
  // The reader asks for it; with it the defaults of the file hold.
  expect(() => parsed(table)).toThrow(/calibration.*from/s);
  const dated = table.map((line) => line.replace(/^# from = (\S+).*/, 'from = $1'));
  expect(parsed(dated)[0]?.points[1]?.referenceStd).toBeCloseTo(0.15, 9);
  const none = calibrate(bare.slice(1), options('current', 'us'));
  expect(calibrationTable(bare.slice(1), none)).toEqual([]);
});
