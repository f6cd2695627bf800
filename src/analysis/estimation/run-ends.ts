import { PSI_PA } from '../../units/table.ts';
import type { TrackedRun } from '../runs/tracker.ts';
import type { Settling } from './settling.ts';
import type { EstimationState, Known, Tail } from './state.ts';
import type { RunRow } from './tables.ts';
import { noteCutIn } from './usual-cut-in.ts';

/** Pressure at a moment from the last readings before it, by a straight line [Pa gauge]. */
export function gaugeAt(tail: Tail, timeS: number, known: Known): number {
  const n = tail.timeS.length;
  if (n === 0) return NaN;
  const last = tail.timeS[n - 1]!;
  const t = tail.timeS.map((v) => v - last);
  const meanT = t.reduce((a, b) => a + b, 0) / n;
  const meanP = tail.pressurePa.reduce((a, b) => a + b, 0) / n;
  let tt = 0;
  let tp = 0;
  for (let i = 0; i < n; i++) {
    tt += (t[i]! - meanT) ** 2;
    tp += (t[i]! - meanT) * tail.pressurePa[i]!;
  }
  const ahead = Math.min(Math.max(timeS - last - meanT, 0), -2 * meanT + 1);
  const slope = tt > 0 && n >= 3 ? tp / tt : 0;
  return meanP + slope * ahead - known.atmospherePa;
}

/** What a run began with: the switch at its cut-in, or something else. */
export function howBegun(state: EstimationState, cutIn: number): RunRow['begun'] {
  const usual = state.medianCutInPa;
  return Number.isNaN(usual) || !(cutIn > usual + 4 * PSI_PA) ? 'cut-in' : 'other';
}

/** Amps of a usual run here; by the motor's plate until one was seen. */
export const usualAmps = ({ state, known }: Pick<Settling, 'state' | 'known'>): number =>
  Number.isNaN(state.medianA) ? known.plate.currentA : state.medianA;

/** How a run that was seen to end did so. */
export function howEnded(
  job: Settling,
  seen: { cutOut: number; meanA: number; lengthS: number },
): RunRow['ended'] {
  const { state, run } = job;
  if (run.ended !== 'seen') return run.ended;
  if (run.breaks >= 2) return 'chatter';
  const base = usualAmps(job);
  const atTop = seen.cutOut > state.medianCutOutPa - 5 * PSI_PA;
  // A motor that brought pressure to the top has turned, however short its run.
  if (seen.meanA > 2.5 * base && seen.lengthS < 20 && !atTop) return 'stalled';
  if (!(seen.cutOut < state.medianCutOutPa - 3 * PSI_PA)) return 'cut-out';
  const hot = seen.meanA > 1.15 * base;
  return hot && seen.cutOut < state.medianCutOutPa - 5 * PSI_PA ? 'tripped' : 'below-cut-out';
}

/** Follows the usual cut-in, cut-out and amps. */
export function noteMedians(
  job: Settling,
  seen: { cutIn: number; cutOut: number; meanA: number; begun: string; ended: string },
): void {
  const { state, run } = job;
  const follow = (median: number, value: number, step: number): number => {
    if (Number.isNaN(value)) return median;
    if (Number.isNaN(median)) return value;
    return median + Math.max(-step, Math.min(step, 0.2 * (value - median)));
  };
  const cutIn = run.begun === 'seen' ? seen.cutIn : NaN;
  noteCutIn(state.cutIns, { ...seen, cutIn });
  const early = state.seenRuns < 20 ? 1 : 0.2;
  if (seen.begun === 'cut-in') {
    state.medianCutInPa = follow(state.medianCutInPa, seen.cutIn, early * PSI_PA);
    state.unmetCutInPa = null;
  } else if (seen.begun === 'other')
    state.medianCutInPa = agreed(state.unmetCutInPa, seen.cutIn) ?? state.medianCutInPa;
  if (seen.ended === 'cut-out') {
    state.medianCutOutPa = follow(state.medianCutOutPa, seen.cutOut, early * PSI_PA);
    state.unmetCutOutPa = null;
  } else if (seen.ended === 'below-cut-out')
    state.medianCutOutPa = agreed(state.unmetCutOutPa, seen.cutOut) ?? state.medianCutOutPa;
  if (run.foundBy === 'current' && seen.ended === 'cut-out')
    state.medianA = follow(state.medianA, seen.meanA, 0.02 * (state.medianA || 1));
}

/** So many runs in a row must agree, so well, on another set point than the file tells. */
const AGREE_RUNS = 5;
const AGREE_PA = 2 * PSI_PA;

/**
 * The set point that runs agree on where none has met the one of the well file yet: the switch is
 * set otherwise than the file says. `unmet`, which is added to, is null once one has met it.
 */
function agreed(unmet: number[] | null, value: number): number | null {
  if (unmet === null || Number.isNaN(value)) return null;
  unmet.push(value);
  if (unmet.length > AGREE_RUNS) unmet.shift();
  const [least, most] = [Math.min(...unmet), Math.max(...unmet)];
  return unmet.length === AGREE_RUNS && most - least < AGREE_PA ? (least + most) / 2 : null;
}

/** A shorter rise of pressure may have come between two readings of the amps, s. */
const UNSEEN_S = 10;

/** Counts runs that pressure shows and the amps deny. */
export function noteUnseen(state: EstimationState, run: TrackedRun): void {
  if (run.foundBy === 'current') state.unseenByAmps = 0;
  else if (run.currentSaidOff && run.stopFromS - run.startToS > UNSEEN_S) {
    if (state.unseenByAmps === 0) state.firstUnseenS = run.startFromS;
    state.unseenByAmps += 1;
  }
}
