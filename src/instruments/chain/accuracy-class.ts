import type { AccuracyClass } from './types.ts';

/** Limits of the ratio error in percent at percents of the rated current. */
const LIMITS: Record<AccuracyClass, readonly (readonly [atPercent: number, percent: number])[]> = {
  '0.2': [
    [5, 0.75],
    [20, 0.35],
    [100, 0.2],
    [120, 0.2],
  ],
  '0.5': [
    [5, 1.5],
    [20, 0.75],
    [100, 0.5],
    [120, 0.5],
  ],
  '0.5S': [
    [1, 1.5],
    [5, 0.75],
    [20, 0.5],
    [100, 0.5],
    [120, 0.5],
  ],
  '1': [
    [5, 3],
    [20, 1.5],
    [100, 1],
    [120, 1],
  ],
  '3': [
    [50, 3],
    [120, 3],
  ],
  '5': [
    [50, 5],
    [120, 5],
  ],
};

/**
 * Limit of the ratio error of a current transformer as a share of the current it carries.
 * `loadShare` [-]: current over rated current, above 0 to 1.2. Returns [-]; NaN outside.
 * Between the loads of the table the limit runs straight; below the least of them, where the
 * standard gives none, the error in ampere is taken to stay (common practice).
 * Source: IEC 61869-2, Table 201 (classes 0.2 to 1, 0.5S, 3 and 5).
 */
export function ratioErrorLimit(accuracyClass: AccuracyClass, loadShare: number): number {
  const points = LIMITS[accuracyClass];
  const percent = 100 * loadShare;
  const [leastLoad, atLeast] = points[0]!;
  if (!(percent > 0)) return Number.NaN;
  if (percent <= leastLoad) return ((atLeast / 100) * leastLoad) / percent;
  for (const [i, [load, limit]] of points.entries()) {
    if (percent > load) continue;
    const [loadBefore, before] = points[i - 1]!;
    const part = (percent - loadBefore) / (load - loadBefore);
    return (before + part * (limit - before)) / 100;
  }
  return Number.NaN;
}
