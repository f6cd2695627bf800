import type { Well } from '../../model/well.ts';
import { type BucketProblem, type BucketResult, evaluateBucket } from './bucket.ts';
import type { DayRecord } from './days.ts';
import { relativeStd } from './delivery.ts';
import { type EstimationState, type Known, knownOf } from './state.ts';
import { type RunRow, runAt } from './tables.ts';

/** What turns reference units into cubic metres in one epoch. */
export interface EpochScale {
  fromS: number;
  basis: 'bucket-test' | 'nameplate' | 'relative';
  tankConstantPaM3: number;
  std: number;
  /** Cubic metres (or tank drawdowns where relative) in one reference unit, and relative std. */
  unit: number;
  relStd: number;
  known: Known;
}

/** Scale of each epoch, from its bucket tests where it has any. */
export function scales(
  state: EstimationState,
  well: Well,
  noisePa: number,
): { scales: EpochScale[]; problems: BucketProblem[] } {
  const problems: BucketProblem[] = [];
  const list = state.epochs.map((epoch, k) => {
    const known = knownOf(well, epoch.services);
    const untilS = state.epochs[k + 1]?.fromS ?? Infinity;
    const results: BucketResult[] = [];
    for (const record of state.buckets) {
      if (record.startS < epoch.fromS || record.startS >= untilS) continue;
      const result = evaluateBucket(record, state.gas, noisePa);
      if (result.problem === null) results.push(result);
      else problems.push(result);
    }
    return scaleOf(state, known, epoch.fromS, results);
  });
  return { scales: list, problems };
}

function scaleOf(
  state: EstimationState,
  known: Known,
  fromS: number,
  results: BucketResult[],
): EpochScale {
  if (results.length > 0) {
    const { mean, std } = combine(results);
    const tank = { basis: 'bucket-test', tankConstantPaM3: mean, std } as const;
    return { fromS, ...tank, unit: mean / known.referencePa, relStd: std / mean, known };
  }
  if (!Number.isNaN(known.nameplatePaM3)) {
    const std = known.nameplatePaM3 * known.nameplateRelStd;
    const tank = { basis: 'nameplate', tankConstantPaM3: known.nameplatePaM3, std } as const;
    const unit = known.nameplatePaM3 / known.referencePa;
    return { fromS, ...tank, unit, relStd: known.nameplateRelStd, known };
  }
  const cutIn =
    (Number.isNaN(state.medianCutInPa)
      ? known.band.middlePaGauge - known.band.halfPa
      : state.medianCutInPa) + known.atmospherePa;
  const cutOut =
    (Number.isNaN(state.medianCutOutPa)
      ? known.band.middlePaGauge + known.band.halfPa
      : state.medianCutOutPa) + known.atmospherePa;
  const drawdown = known.referencePa / cutIn - known.referencePa / cutOut;
  return {
    fromS,
    basis: 'relative',
    tankConstantPaM3: NaN,
    std: NaN,
    unit: 1 / drawdown,
    relStd: 0.01,
    known,
  };
}

/** Weighted mean of several tests, widened where they scatter more than they say. */
function combine(results: BucketResult[]): { mean: number; std: number } {
  let sum = 0;
  let weight = 0;
  for (const { tankConstantPaM3, std } of results) {
    sum += tankConstantPaM3 / std ** 2;
    weight += 1 / std ** 2;
  }
  const mean = sum / weight;
  const chi2 = results.reduce((s, r) => s + ((r.tankConstantPaM3 - mean) / r.std) ** 2, 0);
  const scatter = Math.sqrt(Math.max(chi2 / Math.max(results.length - 1, 1), 1));
  return { mean, std: scatter / Math.sqrt(weight) };
}

export interface DayWater {
  pumped: number;
  pumpedStd: number;
  used: number;
  usedStd: number;
  loss: number;
  lossStd: number;
}

/** A run with its volume as known now; the first are restated at the delivery learnt later. */
export function restatedRun(state: EstimationState, row: number): RunRow {
  const run = runAt(state.runs, row);
  const { firstLearnt, delivery } = state;
  const early = row < (Number.isNaN(firstLearnt.b0) ? Infinity : firstLearnt.runs);
  if (!early || run.epoch !== 0 || Number.isNaN(run.integral0)) return run;
  const { b0, b1 } = Number.isNaN(firstLearnt.b0) ? delivery : firstLearnt;
  const pumped = Math.max(b0 * run.integral0 + b1 * run.integral1, 0);
  // Further from the run's own balance than its own error, the two are in doubt together.
  const beyond = Math.max(Math.abs(pumped - run.pumped) - run.pumpedStd, 0);
  return { ...run, pumped, pumpedStd: Math.hypot(run.pumpedStd, 0.5 * beyond) };
}

/** Water of each day, in the units of its epoch's scale; no run before `fromRow` touches them. */
export function dayWater(state: EstimationState, list: EpochScale[], fromRow = 0): DayWater[] {
  const water = state.days.map(() => ({ pumped: 0, own: 0, shared: 0 }));
  let at = 0;
  for (let row = fromRow; row < state.runs.rows; row++) {
    const run = restatedRun(state, row);
    const lengthS = run.stopS - run.startS;
    if (run.byDay) continue;
    while (at + 1 < state.days.length && run.startS >= state.days[at]!.endS) at += 1;
    for (let k = at; k < state.days.length; k++) {
      const day = state.days[k]!;
      const overlapS = Math.min(run.stopS, day.endS) - Math.max(run.startS, day.startS);
      if (overlapS > 0) {
        water[k]!.pumped += (run.pumped * overlapS) / lengthS;
        const std = (run.pumpedStd * overlapS) / lengthS;
        water[k]!.own += std ** 2;
        water[k]!.shared += (run.foundBy === 'pressure' ? SHARED_BY_PRESSURE : SHARED) * std;
      }
      if (run.stopS < day.endS) break;
    }
  }
  return state.days.map((day, k) => waterOf(state, day, water[k]!, list[day.epoch]!));
}

function waterOf(
  state: EstimationState,
  day: DayRecord,
  sums: { pumped: number; own: number; shared: number },
  scale: EpochScale,
): DayWater {
  const loss = lossOf(state, day);
  const pumped = sums.pumped + day.weakPumped;
  const gross = pumped + day.change;
  // What all runs share is delivery and gas; a moved tank constant adds its own.
  const lossy = pumped > 0 ? Math.min(Math.max(loss.volume / pumped, 0), 1) : 0;
  const common = Math.hypot(sharedRelStd(state), LOSSY_DOUBT * lossy) * sums.pumped;
  const drift = 0.1 * day.tankDoubt + STRAY * Math.max(day.strayed - USUAL_STRAY, 0);
  const own = Math.hypot(Math.sqrt(sums.own), sums.shared);
  const pumpedStd = Math.hypot(common, own, drift * pumped, day.weakStd, 1e-4);
  const book = closeBook(pumped, day.change, loss.volume);
  // Where the book did not close by itself, what it was short of is in doubt.
  const pumpedDoubt = Math.hypot(pumpedStd, book.pumped - pumped);
  const lossDoubt = Math.hypot(loss.std, loss.volume - book.loss);
  const usedStd = Math.hypot(pumpedDoubt, ENDS, lossDoubt, drift * Math.max(gross, 0));
  const to = scale.unit;
  return {
    pumped: book.pumped * to,
    pumpedStd: Math.hypot(pumpedDoubt, scale.relStd * book.pumped) * to,
    used: book.used * to,
    usedStd: Math.hypot(usedStd, scale.relStd * book.used) * to,
    loss: book.loss * to,
    lossStd: Math.hypot(lossDoubt, scale.relStd * book.loss) * to,
  };
}

/**
 * Used and lost are what was pumped and what the tank gave. A tank that gained more than was pumped
 * was pumped that much; a loss of more than went out is as much as went out.
 */
function closeBook(
  pumped: number,
  change: number,
  loss: number,
): { pumped: number; loss: number; used: number } {
  const out = Math.max(pumped + change, 0);
  const lost = Math.min(Math.max(loss, 0), out);
  return { pumped: out - change, loss: lost, used: out - lost };
}

/** Of what is pumped where all of it is lost: part of the loss may be taken for delivery. */
const LOSSY_DOUBT = 0.05;
/** Delivery over tank constant that strays by this from what is believed is usual. */
const USUAL_STRAY = 0.05;
/** What share of a stray beyond that the day's water may be off by. */
const STRAY = 0.7;

/** Pumped is in doubt by this where the gas was never learnt: from no warmth to all of it. */
const GAS_DOUBT = 0.1;
/** Share of a change of use at every start that may as well be the pump's. */
const START_DROP = 0.6;
const USUAL_DROP = 0.05;

/** Readings that leave more than this share of a run open miss how it fills; all runs alike. */
const OPEN_MOST = 0.15;
const SPARSE = 0.8;

/** Relative standard error that all runs share: of delivery, of the gas, of runs all alike. */
export function sharedRelStd(state: EstimationState): number {
  const { delivery, gas, startDrop, openShare } = state;
  return Math.hypot(
    Math.max(relativeStd(delivery), 0.006),
    GAS_DOUBT / Math.sqrt(1 + gas.stops),
    START_DROP * Math.max(startDrop - USUAL_DROP, 0),
    SPARSE * Math.max(openShare - OPEN_MOST, 0),
  );
}

/** What share of a run's own error its neighbours have too: starts seen late are all seen late. */
const SHARED = 0.3;
/** Where pressure alone shows them, a tap shut before each start moves all starts one way. */
const SHARED_BY_PRESSURE = 0.7;

/** Gas volume at midnight is known to about this: noise and what is left of warmth. */
const ENDS = 0.002;

/** Loss at rest, and while pumping as far as it does not pause then. */
function lossOf(state: EstimationState, day: DayRecord): { volume: number; std: number } {
  const share = 1 - Math.min(Math.max(day.pausing.share, 0), 1);
  const { loss, rootRunMin } = day;
  if (loss === null) {
    const restMin = Math.max((day.coveredS - day.runS) / 60, 0);
    const volume = state.lossRate * restMin;
    return { volume, std: Math.hypot(0.5 * volume, state.lossStd * restMin, 1e-6) };
  }
  const volume = loss.volume + loss.rate * share * rootRunMin;
  const std = Math.hypot(
    loss.volumeStd,
    loss.rate * day.pausing.std * rootRunMin,
    loss.rateStd * rootRunMin,
  );
  return { volume, std };
}
