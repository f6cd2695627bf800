import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { studyCompressor } from '../../bench/support/compressor.ts';

const NAME = 'compressor-10000s.csv';

/**
 * Data that nobody here made and that is not ours to ship: a real compressor on a pressure switch
 * (MetroPT-3, first 10,000 s, Zenodo). Its description says: five full load cycles; the decays
 * between loads run -0.00098 to -0.00099 bar/s.
 */
describe('a real machine on a pressure switch', () => {
  it('has its cycles found by a mapping of columns alone', async ({ skip }) => {
    const folder = process.env.WELLWRIGHT_OPEN_DATA;
    const file = folder === undefined ? '' : join(folder, NAME);
    if (!existsSync(file)) skip(`WELLWRIGHT_OPEN_DATA names no folder that holds ${NAME}`);
    const result = await studyCompressor(file);
    expect(result.study.span.readings).toEqual({ pressure: result.rows, current: result.rows });
    expect(result.loads.length).toBe(5);
    expect(result.runs.length).toBe(5);
    // Rows are ten seconds apart: a start is known to one.
    for (const [k, { fromS }] of result.loads.entries())
      expect(Math.abs(result.runs[k]!.fromS - fromS)).toBeLessThanOrEqual(10);
    expect(result.agreesWithMotorPercent).toBeGreaterThan(99);
    for (const fall of result.fallBetweenLoads) {
      expect(fall).toBeGreaterThan(-0.001);
      expect(fall).toBeLessThan(-0.00097);
    }
    // After the motor's idling the air has cooled and leaks at slightly lower pressure.
    for (const fall of result.fallBetweenRuns)
      expect(Math.abs(fall / -0.00098 - 1)).toBeLessThan(0.06);
  });
});
