import { describe, expect, it } from 'vitest';
import { isSnapshotDue, toThin } from './schedule.ts';

const HOUR_S = 3600;

describe('the schedule of snapshots', () => {
  it('holds both what is kept and what a late reading costs, over a year of hours', () => {
    let kept: number[] = [];
    let most = 0;
    for (let hour = 1; hour <= 8760; hour++) {
      const nowS = hour * HOUR_S;
      if (isSnapshotDue(kept.at(-1) ?? 0, nowS, nowS)) kept.push(nowS);
      const drop = toThin(kept, nowS);
      kept = kept.filter((at) => !drop.includes(at));
      most = Math.max(most, kept.length);
      for (const [i, at] of kept.entries()) {
        const newer = kept[i + 1];
        if (newer === undefined) continue;
        expect(newer - at).toBeLessThanOrEqual(Math.max(2 * HOUR_S, nowS - newer));
      }
    }
    expect(kept.at(-1)).toBe(8760 * HOUR_S);
    expect(most).toBeGreaterThan(12);
    expect(most).toBeLessThanOrEqual(26);
  });
  it('takes few on the way through a long replay, and they need no thinning', () => {
    const nowS = 8760 * HOUR_S;
    const taken = [0];
    for (let atS = 0; atS <= nowS; atS += 600)
      if (isSnapshotDue(taken.at(-1)!, atS, nowS)) taken.push(atS);
    expect(taken.length).toBeLessThanOrEqual(16);
    expect(nowS - taken.at(-1)!).toBeLessThan(HOUR_S);
  });
  it('leaves what there is alone when it is little', () => {
    expect(toThin([], 5)).toEqual([]);
    expect(toThin([5], 5)).toEqual([]);
    expect(toThin([5, 10], 10)).toEqual([]);
  });
});
