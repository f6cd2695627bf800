import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decodeState, encodeState } from '../../base/snapshot.ts';
import {
  addDraw,
  addRun,
  BEGUN,
  createDrawTable,
  createRunTable,
  drawAt,
  ENDED,
  type RunRow,
  runAt,
  type Table,
} from './tables.ts';

const single = fc.oneof(fc.float(), fc.constant(Number.NaN));
const timeS = fc.integer({ min: 1_000_000_000, max: 2_000_000_000 }).map((t) => t + 0.125);
const runRow: fc.Arbitrary<RunRow> = fc.record({
  startS: timeS,
  stopS: timeS,
  startStdS: single,
  stopStdS: single,
  cutInPaGauge: single,
  cutOutPaGauge: single,
  meanA: single,
  pumped: single,
  pumpedStd: single,
  integral0: single,
  integral1: single,
  byDay: fc.boolean(),
  begun: fc.constantFrom(...BEGUN),
  ended: fc.constantFrom(...ENDED),
  foundBy: fc.constantFrom('current', 'pressure'),
  breaks: fc.nat(10_000),
  epoch: fc.nat(100),
});

const bytes = (table: Table): number => table.doubles.byteLength + table.singles.byteLength;

describe('the book of runs and draws', () => {
  it('gives back what was entered, and again after a snapshot', () => {
    fc.assert(
      fc.property(fc.array(runRow, { maxLength: 60 }), (rows) => {
        const table = createRunTable();
        for (const row of rows) addRun(table, row);
        const back = decodeState<Table>(encodeState(table));
        for (const [k, row] of rows.entries()) {
          expect(runAt(table, k)).toEqual(row);
          expect(runAt(back, k)).toEqual(row);
        }
      }),
      { numRuns: 40, seed: 1 },
    );
  });

  it('takes at most 100 bytes a run and 100 a draw, with what is held in reserve', () => {
    const runs = createRunTable();
    const draws = createDrawTable();
    const run = { ...runAt(runs, 0), begun: 'cut-in', ended: 'cut-out', foundBy: 'current' };
    for (let k = 1; k <= 20_000; k++) {
      addRun(runs, { ...run, startS: k, stopS: k + 0.5, byDay: false } as RunRow);
      addDraw(draws, { startS: k, durationS: 1, volume: k, std: 1, peakPerMin: 1 });
      if (k < 100) continue;
      expect(bytes(runs) / k).toBeLessThanOrEqual(100);
      expect(bytes(draws) / k).toBeLessThanOrEqual(100);
    }
    expect(runAt(runs, 19_999).startS).toBe(20_000);
    expect(drawAt(draws, 19_999)).toMatchObject({ startS: 20_000, volume: 20_000 });
  });
});
