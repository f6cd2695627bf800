import type { FaultName } from '../../model/faults.ts';
import type { TestName } from '../../model/study.ts';
import type { OtherTest } from '../../model/well.ts';
import type { Known } from '../estimation/state.ts';

/** What a test found, in SI; `std` null where it is a count or a plain reading. */
export interface Found {
  what: string;
  value: number;
  std: number | null;
  unit: string;
}

/**
 * ln of the likelihood of what was seen under a fault, relative to the account that fits best, "no
 * such fault" among them: 0 is as good as the best, and none is below -8, since any test can have
 * been made wrong. The log may hold the same loss already: these split, they do not add a loss.
 */
export interface Bearing {
  fault: FaultName;
  logLikelihood: number;
  /** The same relative to "no such fault": positive where the test speaks for the fault. */
  overSound: number;
}

/** What one test gave. A test is usable, or says why not. */
export interface TestOutcome {
  test: TestName;
  startS: number;
  stopS: number;
  unusable: string | null;
  found: Found[];
  bearing: Bearing[];
}

/** What was learnt of the well before a test began: reference units (see the tank's gas). */
export interface Before {
  b0: number;
  b1: number;
  relStd: number;
  /** Standard error of b1, relative. */
  slopeRelStd: number;
  /** Delivery at the middle of the band when learnt; NaN until then. */
  learntB0: number;
  learntRelStd: number;
  lossPerMin: number;
  lossStd: number;
  cutInPaGauge: number;
  cutOutPaGauge: number;
  /** Amps at the middle of the band and their slope; NaN until learnt. */
  a0: number;
  a1: number;
  frictionPa: number;
  tankFactor: number;
  lastStopS: number;
}

/** The readings round a test: it is plain state, and all an evaluation needs of the log. */
export interface TestRecord {
  /** Place in the well file's list of other tests. */
  index: number;
  /** Length of a bin, s, and the bins: time, Pa absolute, A, pump on, number of readings; flat. */
  binS: number;
  bins: number[];
  before: Before | null;
  /** The gas as known when the record was closed. */
  shares: number[];
  isClosed: boolean;
}

/** One bin of a record. */
export interface Bin {
  timeS: number;
  pressurePa: number;
  currentA: number;
  on: boolean;
  count: number;
}

/** A test with its readings and what holds for it. */
export interface Job {
  test: OtherTest;
  record: TestRecord;
  before: Before;
  known: Known;
  /** Pa m3 as it was at the test, and relative std; NaN where volumes have no scale. */
  tankConstantPaM3: number;
  tankRelStd: number;
  noise: { restPa: number; runningPa: number };
}
