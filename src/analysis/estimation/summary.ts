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
  return { ...run, pumped: Math.max(b0 * run.integral0 + b1 * run.integral1, 0) };
}

/** Water of each day, in the units of its epoch's scale. */
export function dayWater(state: EstimationState, list: EpochScale[]): DayWater[] {
  const water = state.days.map(() => ({ pumped: 0, own: 0, shared: 0 }));
  let at = 0;
  for (let row = 0; row < state.runs.rows; row++) {
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
        water[k]!.shared += SHARED * std;
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
  const { delivery } = state;
  const loss = lossOf(state, day);
  const pumped = sums.pumped + day.weakPumped;
  const gross = pumped + day.change;
  // Delivery's own error is common to all runs; a moved tank constant adds its own.
  const common = Math.max(relativeStd(delivery), 0.006) * sums.pumped;
  const drift = 0.1 * day.tankDoubt;
  const own = Math.hypot(Math.sqrt(sums.own), sums.shared);
  const pumpedStd = Math.hypot(common, own, drift * pumped, day.weakStd, 1e-4);
  const used = Math.max(gross - loss.volume, 0);
  const usedStd = Math.hypot(pumpedStd, ENDS, loss.std, drift * used);
  const to = scale.unit;
  return {
    pumped: pumped * to,
    pumpedStd: Math.hypot(pumpedStd, scale.relStd * pumped) * to,
    used: used * to,
    usedStd: Math.hypot(usedStd, scale.relStd * used) * to,
    loss: loss.volume * to,
    lossStd: Math.hypot(loss.std, scale.relStd * loss.volume) * to,
  };
}

/** What share of a run's own error its neighbours have too: starts seen late are all seen late. */
const SHARED = 0.3;

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
