import type { FaultName } from '../../model/faults.ts';
import type { Evidence } from '../../model/study.ts';

/** A finding in the making: its odds add up to 1 over `fault` and `instead`. */
export interface FindingRecord {
  id: string;
  fault: FaultName;
  probability: number;
  instead: { fault: FaultName; probability: number }[];
  sinceS: number;
  raisedS: number;
  clearedS: number;
  evidence: Evidence[];
  history: { atS: number; fault: FaultName; probability: number }[];
}

export interface FindingsState {
  all: FindingRecord[];
  /** Findings counted only, once the list is full. */
  dropped: number;
  /** When the last finding of a fault that was counted only was cleared; NaN while it is open. */
  droppedClearedS: Partial<Record<FaultName, number>>;
}

/** A log that is all trouble must not grow the result without end; the bound is told. */
export const FINDINGS_MAX = 2000;
/** A fault that comes back within this is the same finding, not cleared after all. */
const SAME_S = 6 * 3600;

export function createFindings(): FindingsState {
  return { all: [], dropped: 0, droppedClearedS: {} };
}

export interface Raising {
  fault: FaultName;
  probability: number;
  instead: { fault: FaultName; probability: number }[];
  sinceS: number;
  nowS: number;
  evidence: Evidence;
}

const EVIDENCE_MAX = 4;

/** Raises a fault, or adds to the finding of it that is open or was cleared a short while ago. */
export function raise(state: FindingsState, raising: Raising): void {
  const known = lastOf(state, raising.fault);
  if (known !== null && isSame(known.clearedS, raising)) {
    known.clearedS = NaN;
    if (known.evidence.length < EVIDENCE_MAX && known.evidence[0]?.says !== raising.evidence.says)
      known.evidence.push(raising.evidence);
    return;
  }
  if (state.all.length >= FINDINGS_MAX) {
    drop(state, raising);
    return;
  }
  state.all.push({
    id: `${raising.fault}-${state.all.length + 1}`,
    fault: raising.fault,
    probability: raising.probability,
    instead: raising.instead,
    sinceS: Math.min(raising.sinceS, raising.nowS),
    raisedS: raising.nowS,
    clearedS: NaN,
    evidence: [raising.evidence],
    history: [{ atS: raising.nowS, fault: raising.fault, probability: raising.probability }],
  });
}

/** Whether it is the finding that was cleared then, still going on or come back. */
const isSame = (clearedS: number, { sinceS }: Raising): boolean =>
  Number.isNaN(clearedS) || sinceS - clearedS < SAME_S;

function drop(state: FindingsState, raising: Raising): void {
  const clearedS = state.droppedClearedS[raising.fault];
  if (clearedS === undefined || !isSame(clearedS, raising)) state.dropped += 1;
  state.droppedClearedS[raising.fault] = NaN;
}

/** Clears the open finding of a fault, if there is one. */
export function clear(state: FindingsState, fault: FaultName, nowS: number): void {
  const known = lastOf(state, fault);
  if (known !== null && Number.isNaN(known.clearedS)) known.clearedS = nowS;
  if (Number.isNaN(state.droppedClearedS[fault])) state.droppedClearedS[fault] = nowS;
}

function lastOf(state: FindingsState, fault: FaultName): FindingRecord | null {
  for (let k = state.all.length - 1; k >= 0; k--)
    if (state.all[k]!.fault === fault) return state.all[k]!;
  return null;
}
