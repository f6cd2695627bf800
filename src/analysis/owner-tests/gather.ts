import type { OtherTest } from '../../model/well.ts';
import type { EstimationState } from '../estimation/state.ts';
import type { Row } from '../runs/tracker.ts';
import type { Before, Bin, TestRecord } from './types.ts';

/** Start and stop in the well file are good to two minutes. */
export const CLOCK_S = 120;
/** Readings kept from before: the gas is followed from the fill that went before a test. */
const BEFORE_S = 900;
const AFTER_S: Record<OtherTest['kind'], number> = {
  isolation_test: 240,
  precharge_test: CLOCK_S,
  drain_test: 240,
  fill_test: 400,
  throttle_test: 240,
  recovery_test: 7800,
  sounding: CLOCK_S,
};
/** Bins of a record at most. */
const BINS = 2400;
const WIDTH = 5;

export interface OwnerTestState {
  records: TestRecord[];
}

export function createOwnerTests(tests: readonly OtherTest[]): OwnerTestState {
  return {
    records: tests.map((test, index) => ({
      index,
      binS: Math.max(1, (untilS(test) - test.startS + BEFORE_S) / BINS),
      bins: [],
      before: null,
      shares: [],
      isClosed: false,
    })),
  };
}

const untilS = (test: OtherTest): number => test.stopS + AFTER_S[test.kind];

/**
 * Takes a row [Pa absolute] that stands near a test; `on` tells whether the pump runs at it.
 * Returns whether a test came to its end.
 */
export function stepOwnerTests(
  state: OwnerTestState,
  tests: readonly OtherTest[],
  row: Row,
  now: { on: boolean; estimation: EstimationState },
): boolean {
  let isOver = false;
  for (const record of state.records) {
    const test = tests[record.index]!;
    if (record.isClosed || row.timeS < test.startS - BEFORE_S) continue;
    record.before ??= beforeOf(now.estimation);
    if (row.timeS <= untilS(test)) addRow(record, row, now.on);
    else {
      close(record, now.estimation);
      isOver = true;
    }
  }
  return isOver;
}

/** The tank is full again this long after a test with the breaker off, s. */
const FULL_AGAIN_S = 600;

/** Whether a test with the breaker off is on, or the pump fills up after one. */
export function isBreakerTest(tests: readonly OtherTest[], timeS: number): boolean {
  return tests.some(
    ({ kind, startS, stopS }) =>
      (kind === 'precharge_test' || kind === 'drain_test') &&
      timeS > startS - CLOCK_S &&
      timeS < stopS + FULL_AGAIN_S,
  );
}

/** The log ends: a test still open is judged by what there is. */
export function endOwnerTests(state: OwnerTestState, estimation: EstimationState): void {
  for (const record of state.records)
    if (!record.isClosed && record.before !== null) close(record, estimation);
}

function close(record: TestRecord, { gas }: EstimationState): void {
  record.isClosed = true;
  record.shares = gas.shares.slice();
}

function addRow({ bins, binS }: TestRecord, row: Row, on: boolean): void {
  if (Number.isNaN(row.pressurePa)) return;
  const at = bins.length - WIDTH;
  const isSame = at >= 0 && bins[at + 3] === (on ? 1 : 0);
  const fromS = at >= 0 ? Math.floor(bins[at]! / binS) : NaN;
  if (isSame && Math.floor(row.timeS / binS) === fromS) {
    const n = bins[at + 4]! + 1;
    bins[at]! += (row.timeS - bins[at]!) / n;
    bins[at + 1]! += (row.pressurePa - bins[at + 1]!) / n;
    if (!Number.isNaN(row.currentA)) bins[at + 2] = row.currentA;
    bins[at + 4] = n;
  } else if (bins.length < 2 * BINS * WIDTH)
    bins.push(row.timeS, row.pressurePa, row.currentA, on ? 1 : 0, 1);
}

export function binsOf({ bins }: TestRecord): Bin[] {
  const out: Bin[] = [];
  for (let k = 0; k < bins.length; k += WIDTH)
    out.push({
      timeS: bins[k]!,
      pressurePa: bins[k + 1]!,
      currentA: bins[k + 2]!,
      on: bins[k + 3] === 1,
      count: bins[k + 4]!,
    });
  return out;
}

export function beforeOf(state: EstimationState): Before {
  const { delivery, amps } = state;
  const learnt = amps.runs >= 3;
  return {
    b0: delivery.b0,
    b1: delivery.b1,
    relStd: Math.sqrt(Math.max(delivery.v00, 0)) / Math.max(delivery.b0, 1e-12),
    slopeRelStd: Math.sqrt(Math.max(delivery.v11, 0)) / Math.max(Math.abs(delivery.b1), 1e-12),
    learntB0: delivery.learntB0,
    learntRelStd: delivery.learntRelStd,
    lossPerMin: state.lossRate,
    lossStd: state.lossStd,
    cutInPaGauge: state.medianCutInPa,
    cutOutPaGauge: state.medianCutOutPa,
    a0: learnt ? amps.a0 : NaN,
    a1: learnt ? amps.a1 : NaN,
    frictionPa: state.frictionPa,
    tankFactor: state.tankFactor,
    lastStopS: state.lastStopS,
  };
}
