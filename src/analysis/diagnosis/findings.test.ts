import { describe, expect, it } from 'vitest';
import { decodeState, encodeState } from '../../base/snapshot.ts';
import type { FaultName } from '../../model/faults.ts';
import {
  clear,
  clearByRuns,
  createFindings,
  FINDINGS_MAX,
  type FindingsState,
  isTroubled,
  raise,
  wasPressureInDoubt,
} from './findings.ts';

const HOUR = 3600;

function tell(
  state: FindingsState,
  nowS: number,
  how: { fault?: FaultName; sinceS?: number; says?: string } = {},
): void {
  raise(state, {
    fault: how.fault ?? 'data-gap',
    probability: 0.7,
    instead: [{ fault: 'power-out', probability: 0.3 }],
    sinceS: how.sinceS ?? nowS,
    nowS,
    by: 'sign',
    evidence: [
      {
        says: how.says ?? 'nothing came',
        observed: 1,
        expected: 0,
        expectedStd: null,
        unit: 's',
      },
    ],
  });
}

describe('a finding', () => {
  it('is one as long as the fault goes on, with each kind of evidence once', () => {
    const state = createFindings();
    for (let k = 0; k < 50; k++) tell(state, k);
    tell(state, 50, { says: 'something else' });
    expect(state.all.length).toBe(1);
    expect(state.all[0]).toMatchObject({ sinceS: 0, raisedS: 0, id: 'finding-1' });
    expect(state.all[0]!.evidence.map(({ says }) => says)).toEqual([
      'nothing came',
      'something else',
    ]);
    expect(state.all[0]!.evidence.map(({ fromS, toS }) => [fromS, toS])).toEqual([
      [0, 49],
      [50, 50],
    ]);
    expect(state.all[0]!.history).toEqual([{ atS: 0, fault: 'data-gap', probability: 0.7 }]);
  });

  it('keeps a few pieces of evidence however many come', () => {
    const state = createFindings();
    for (let k = 0; k < 500; k++) tell(state, k, { says: `sign ${k}` });
    expect(state.all.length).toBe(1);
    expect(state.all[0]!.evidence.length).toBeLessThan(10);
  });

  it('of a trouble that comes back by the next day is the same one, later a new one', () => {
    const state = createFindings();
    const fault = 'leak-house';
    tell(state, 0, { fault });
    clear(state, fault, 100);
    tell(state, 100 + 30 * HOUR - 1, { fault });
    expect(state.all.map(({ clearedS }) => clearedS)).toEqual([NaN]);
    clear(state, fault, 40 * HOUR);
    tell(state, 70 * HOUR, { fault });
    expect(state.all.map(({ id }) => id)).toEqual(['finding-1', 'finding-2']);
  });

  it('of what passes is the same one if it comes back within six hours, later a new one', () => {
    const state = createFindings();
    tell(state, 0);
    clear(state, 'data-gap', 100);
    tell(state, 100 + 6 * HOUR - 1);
    expect(state.all.length).toBe(1);
    expect(state.all[0]!.clearedS).toBeNaN();
    clear(state, 'data-gap', 30_000);
    tell(state, 30_000 + 6 * HOUR);
    expect(state.all.map(({ id }) => id)).toEqual(['finding-1', 'finding-2']);
    expect(state.all[0]!.clearedS).toBe(30_000);
  });

  it('is cleared once, and what is not open cannot be cleared', () => {
    const state = createFindings();
    clear(state, 'data-gap', 5);
    expect(state.all).toEqual([]);
    tell(state, 10);
    clear(state, 'adc-stuck', 20);
    expect(state.all[0]!.clearedS).toBeNaN();
    clear(state, 'data-gap', 30);
    clear(state, 'data-gap', 40);
    expect(state.all[0]!.clearedS).toBe(30);
  });

  it('never begins after it was told', () => {
    const state = createFindings();
    tell(state, 10, { sinceS: 50 });
    expect(state.all[0]).toMatchObject({ sinceS: 10, raisedS: 10 });
  });

  it('of another fault stands beside it', () => {
    const state = createFindings();
    tell(state, 0);
    tell(state, 1, { fault: 'adc-stuck' });
    expect(new Set(state.all.map(({ id }) => id)).size).toBe(2);
  });
});

describe('a finding of what was so from the start', () => {
  const told = (state: FindingsState, by: 'runs' | 'start', fault: FaultName, nowS: number) =>
    raise(state, {
      fault,
      by,
      probability: 0.9,
      instead: [{ fault: 'unknown-trouble', probability: 0.1 }],
      sinceS: by === 'start' ? 0 : nowS,
      nowS,
      evidence: [{ says: by, observed: 1, expected: 0, expectedStd: 1, unit: '1' }],
    });

  it('takes over what a change or a sign had said of it, and begins with the log', () => {
    const state = createFindings();
    told(state, 'runs', 'check-valve-leak', 5 * HOUR);
    told(state, 'start', 'tank-waterlogged', 6 * HOUR);
    expect(state.all.length).toBe(1);
    expect(state.all[0]).toMatchObject({ fault: 'tank-waterlogged', sinceS: 0, by: 'start' });
    expect(isTroubled(state)).toBe(true);
  });

  it('is neither told anew as a change nor cleared by runs that are alike', () => {
    const state = createFindings();
    told(state, 'start', 'tank-waterlogged', 6 * HOUR);
    told(state, 'runs', 'precharge-low', 7 * HOUR);
    clearByRuns(state, 8 * HOUR);
    expect(state.all.length).toBe(1);
    expect(state.all[0]).toMatchObject({ fault: 'tank-waterlogged', clearedS: NaN });
    expect(state.all[0]!.evidence[0]!.says).toBe('start');
    clearByRuns(state, 9 * HOUR, 'start');
    expect(state.all[0]!.clearedS).toBe(9 * HOUR);
    expect(isTroubled(state)).toBe(false);
  });

  it('leaves another trouble that comes later to stand beside it', () => {
    const state = createFindings();
    told(state, 'start', 'tank-waterlogged', 6 * HOUR);
    told(state, 'runs', 'current-clamp-gap', 90 * HOUR);
    expect(state.all.map(({ fault }) => fault)).toEqual(['tank-waterlogged', 'current-clamp-gap']);
  });
});

describe('a finding and what comes after it', () => {
  const told = (
    state: FindingsState,
    by: 'sign' | 'runs',
    [fault, probability]: [FaultName, number],
    nowS: number,
    unit = '1',
  ) =>
    raise(state, {
      fault,
      by,
      probability,
      instead: [{ fault: 'unknown-trouble', probability: 1 - probability }],
      sinceS: nowS,
      nowS,
      evidence: [{ says: fault, observed: 1, expected: 0, expectedStd: 1, unit }],
    });
  const open = ({ all }: FindingsState) =>
    all.filter(({ clearedS }) => Number.isNaN(clearedS)).map(({ fault }) => fault);

  it('that is a note stands in the way of nothing', () => {
    const sign = createFindings();
    told(sign, 'sign', ['heavy-use', 0.6], 0);
    told(sign, 'runs', ['leak-burst', 0.45], HOUR);
    expect(open(sign)).toEqual(['leak-burst']);
    const runs = createFindings();
    told(runs, 'runs', ['heavy-use', 0.8], 0);
    told(runs, 'sign', ['relief-lifting', 0.9], HOUR);
    expect(open(runs)).toEqual(['relief-lifting']);
  });
  it('tells when it was named what, the first and the last of many', () => {
    const state = createFindings();
    told(state, 'runs', ['pump-worn', 0.9], 0);
    for (let k = 1; k < 100; k++)
      told(state, 'runs', [k % 2 === 0 ? 'pump-worn' : 'intake-clogged', 0.6], k * HOUR);
    const { history } = state.all[0]!;
    expect(history.length).toBeLessThan(30);
    expect(history[0]).toMatchObject({ atS: 0, fault: 'pump-worn' });
    expect(history.at(-1)).toMatchObject({ atS: 99 * HOUR, fault: 'intake-clogged' });
  });
  it('of runs that come and go between readings leaves the clamp its word', () => {
    const fleeting = createFindings();
    told(fleeting, 'runs', ['tank-isolated', 0.9], 0);
    told(fleeting, 'runs', ['pressure-drift', 0.9], HOUR);
    told(fleeting, 'sign', ['current-clamp-off', 0.95], 2 * HOUR);
    expect(open(fleeting)).toEqual(['pressure-drift']);
    const other = createFindings();
    told(other, 'runs', ['pressure-drift', 0.9], HOUR);
    told(other, 'sign', ['current-clamp-off', 0.95], 2 * HOUR);
    expect(open(other)).toEqual(['pressure-drift', 'current-clamp-off']);
  });
  it('of a reading that stands still puts its own channel in doubt only', () => {
    const state = createFindings();
    told(state, 'sign', ['adc-stuck', 0.85], 0, 'A');
    expect(wasPressureInDoubt(state, 0)).toBe(false);
    told(state, 'sign', ['adc-stuck', 0.85], HOUR, 'Pa');
    expect(wasPressureInDoubt(state, 0)).toBe(true);
    clear(state, 'adc-stuck', 2 * HOUR);
    expect(wasPressureInDoubt(state, 3 * HOUR)).toBe(false);
  });
});

describe('findings without end', () => {
  it('are bounded, and those left out are counted', () => {
    const state = createFindings();
    for (let k = 0; k < FINDINGS_MAX + 25; k++) {
      tell(state, k * 8 * HOUR);
      clear(state, 'data-gap', k * 8 * HOUR + 1);
    }
    expect(state.all.length).toBe(FINDINGS_MAX);
    expect(state.dropped).toBe(25);
    expect(new Set(state.all.map(({ id }) => id)).size).toBe(FINDINGS_MAX);
  });

  it('count one trouble once, however many rows show it', () => {
    const state = createFindings();
    for (let k = 0; k < FINDINGS_MAX; k++) {
      tell(state, k * 8 * HOUR);
      clear(state, 'data-gap', k * 8 * HOUR + 1);
    }
    const fullS = FINDINGS_MAX * 8 * HOUR;
    for (let s = 0; s < 3600; s++) tell(state, fullS + s, { fault: 'running-dry' });
    expect(state.dropped).toBe(1);
    clear(state, 'running-dry', fullS + HOUR);
    tell(state, fullS + 2 * HOUR, { fault: 'running-dry' });
    expect(state.dropped).toBe(1);
    clear(state, 'running-dry', fullS + 3 * HOUR);
    tell(state, fullS + 33 * HOUR, { fault: 'running-dry' });
    tell(state, fullS + 33 * HOUR, { fault: 'adc-stuck' });
    expect(state.dropped).toBe(3);
  });

  it('come back from a snapshot as they were', () => {
    const state = createFindings();
    tell(state, 0.1);
    clear(state, 'data-gap', 1 / 3);
    tell(state, 9e9, { fault: 'adc-stuck' });
    expect(decodeState(encodeState(state))).toEqual(state);
  });
});
