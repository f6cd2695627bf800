import { ampsScatter, expectedAmps } from '../analysis/estimation/amps-curve.ts';
import type { BucketProblem } from '../analysis/estimation/bucket.ts';
import type { DayRecord } from '../analysis/estimation/days.ts';
import { deliveryAt, deliveryStdAt } from '../analysis/estimation/delivery-curve.ts';
import { dayEnergyFloor } from '../analysis/estimation/energy-floor.ts';
import {
  type DayWater,
  dayWater,
  type EpochScale,
  restatedRun,
  scales,
} from '../analysis/estimation/summary.ts';
import { drawAt } from '../analysis/estimation/tables.ts';
import {
  isWellTold,
  recoveryTime,
  specificCapacity,
  toldDrawdown,
} from '../analysis/estimation/told-level.ts';
import { instant } from '../base/instant.ts';
import { CHANNELS } from '../model/reading.ts';
import type {
  DayEntry,
  DrawEntry,
  PumpPoint,
  RecoveryEntry,
  RunEntry,
  Study,
} from '../model/study.ts';
import { atHand } from './at-hand.ts';
import { findingEntries } from './finding-entries.ts';
import type { Pipeline } from './pipeline.ts';
import { addHouseShare, testEntries, testsNow, WHY_NO_BUCKET } from './tests.ts';
import { unknowns } from './unknowns.ts';

const orNull = (value: number): number | null => (Number.isFinite(value) ? value : null);

/** What the log said, with what the caller counted before the pipeline saw it. */
export interface LogTally {
  setAside: { reason: string; count: number }[];
  told: string[];
}

/** The study as it stands now: everything the pipeline knows, in the published form. */
export function studyOf(pipeline: Pipeline, tally: LogTally): Study {
  const { estimation, well } = pipeline;
  const { state } = estimation;
  const { scales: list, problems } = scales(state, well, pipeline.tracker.pressureNoise.std);
  const water = dayWater(state, list);
  const days = state.days.map((day, k) => dayEntry(pipeline, day, water[k]!, list[day.epoch]!));
  const outcomes = testsNow(pipeline, list);
  addHouseShare(days, outcomes);
  const runs = runEntries(pipeline, list);
  const study: Study = {
    schema: 1,
    well: well.id,
    span: {
      from: instant(pipeline.firstS),
      to: instant(pipeline.lastS),
      readings: readingsUsed(pipeline),
      setAside: setAsideCounts(pipeline, tally),
    },
    scale: scaleEntries(pipeline, list),
    runs,
    days,
    draws: drawEntries(pipeline, list),
    findings: findingEntries(pipeline),
    unknown: [],
    tests: testEntries(outcomes),
    pump: pumpPoints(pipeline, list),
    recovery: recoveryOf(pipeline, list),
    told: [...tally.told, ...problems.map((p) => bucketInWords(p)), ...pipeline.told()],
  };
  study.unknown = unknowns(study, well, atHand(pipeline));
  return study;
}

function readingsUsed(pipeline: Pipeline): Record<string, number> {
  const used = pipeline.used();
  const entries = CHANNELS.map((channel, k) => [channel, used[k]!] as const);
  return Object.fromEntries(entries.filter(([, count]) => count > 0));
}

function setAsideCounts(pipeline: Pipeline, tally: LogTally): Record<string, number> {
  const out: Record<string, number> = {};
  for (const { reason, count } of [...tally.setAside, ...pipeline.setAside()])
    if (count > 0) out[reason] = (out[reason] ?? 0) + count;
  return out;
}

function bucketInWords(problem: BucketProblem): string {
  const which = `the ${ordinal(problem.index)} bucket test of the well file is not used`;
  return `${which}: ${WHY_NO_BUCKET[problem.problem]}`;
}

function ordinal(index: number): string {
  return ['first', 'second', 'third', 'fourth'][index] ?? `${index + 1}th`;
}

function scaleEntries(pipeline: Pipeline, list: EpochScale[]): Study['scale'] {
  const { state } = pipeline.estimation;
  const entries = list.map((scale) => ({
    atS: Math.max(scale.fromS, pipeline.firstS),
    basis: scale.basis,
    tank: scale.tankConstantPaM3,
    std: scale.std,
  }));
  for (const change of state.scaleChanges) {
    const scale = list[change.epoch]!;
    const tank = scale.tankConstantPaM3 * change.factor;
    const std = Math.hypot(scale.std * change.factor, 0.1 * (tank - scale.tankConstantPaM3));
    entries.push({ atS: change.fromS, basis: scale.basis, tank, std });
  }
  entries.sort((a, b) => a.atS - b.atS);
  return entries.map(({ atS, basis, tank, std }) => ({
    from: instant(atS),
    basis,
    tankConstantPaM3: orNull(tank),
    tankConstantPaM3Std: orNull(std),
  }));
}

/** A volume in the form its scale allows: cubic metres, or tank drawdowns beside nulls. */
function volume<K extends string>(
  key: K,
  value: number,
  std: number,
  scale: EpochScale,
): Record<`${K}M3` | `${K}M3Std`, number | null> & Record<string, number | null> {
  const known = Number.isFinite(value) && Number.isFinite(std);
  const relative = scale.basis === 'relative';
  const m3 = { [`${key}M3`]: null, [`${key}M3Std`]: null };
  const out: Record<string, number | null> = m3;
  if (known && !relative) {
    out[`${key}M3`] = value;
    out[`${key}M3Std`] = std;
  } else if (known) {
    out[`${key}PerTank`] = value;
    out[`${key}PerTankStd`] = std;
  }
  return out as ReturnType<typeof volume<K>>;
}

function runEntries(pipeline: Pipeline, list: EpochScale[]): RunEntry[] {
  const { state } = pipeline.estimation;
  const common = pipeline.deliveryRelStd();
  return Array.from({ length: state.runs.rows }, (_, row) => {
    const run = restatedRun(state, row);
    const scale = list[run.epoch]!;
    const std = Math.hypot(run.pumpedStd, common * run.pumped, scale.relStd * run.pumped);
    return {
      start: instant(run.startS),
      startStdS: run.startStdS,
      stop: run.ended === 'log-end' ? null : instant(run.stopS),
      stopStdS: run.ended === 'log-end' ? null : run.stopStdS,
      begun: run.begun,
      ended: run.ended,
      breaks: run.breaks,
      foundBy: run.foundBy,
      cutInPaGauge: orNull(run.cutInPaGauge),
      cutOutPaGauge: orNull(run.cutOutPaGauge),
      meanCurrentA: orNull(run.meanA),
      ...volume('pumped', run.pumped * scale.unit, Math.max(std * scale.unit, 1e-9), scale),
    };
  });
}

/** A calendar day in the published form. */
export function dayEntry(
  pipeline: Pipeline,
  day: DayRecord,
  water: DayWater,
  scale: EpochScale,
): DayEntry {
  const { well } = pipeline;
  const energyStd = day.energyJ * scale.known.power.relStd;
  const energyKnown = day.energyJ > 0 || (day.runS === 0 && pipeline.hasAmps);
  const price = well.energyPrice?.perJ ?? NaN;
  const level = levelOf(pipeline, day, scale);
  const index = day.indexWeight > 0 ? day.indexSum / day.indexWeight : NaN;
  const relative = scale.basis === 'relative';
  const perVolume = relative || !(water.pumped > 0.02) ? NaN : day.energyJ / water.pumped;
  const perVolumeRel = Math.hypot(scale.known.power.relStd, water.pumpedStd / water.pumped);
  return {
    date: day.date,
    coveredS: Math.min(day.coveredS, 90_000),
    ...volume('used', water.used, water.usedStd, scale),
    ...volume('loss', lossIsSeen(day) ? water.loss : NaN, water.lossStd, scale),
    lossHouseShare: null,
    ...volume('pumped', water.pumped, water.pumpedStd, scale),
    energyJ: energyKnown ? day.energyJ : null,
    energyJStd: energyKnown ? Math.max(energyStd, 1) : null,
    cost: energyKnown ? orNull(day.energyJ * price) : null,
    costStd: energyKnown ? orNull(Math.max(energyStd, 1) * price) : null,
    starts: day.starts,
    runS: day.runS,
    ...level,
    pumpIndex: orNull(index),
    pumpIndexStd: orNull(day.indexWeight > 0 ? Math.hypot(day.indexWeight ** -0.5, 0.006) : NaN),
    energyPerVolumeJPerM3: energyKnown && day.energyJ > 0 ? orNull(perVolume) : null,
    energyPerVolumeJPerM3Std:
      energyKnown && day.energyJ > 0 ? orNull(perVolume * perVolumeRel) : null,
    energyFloorJPerM3:
      level.pumpingLevelM === null
        ? null
        : orNull(dayEnergyFloor(day, scale.known, level.pumpingLevelM)),
  };
}

/** Loss shows in pressure at rest alone: a day without any says nothing of it. */
const lossIsSeen = (day: DayRecord): boolean => day.loss !== null || day.coveredS > day.runS;

function levelOf(
  pipeline: Pipeline,
  day: DayRecord,
  scale: EpochScale,
): Pick<
  DayEntry,
  | 'levelDropM'
  | 'levelDropMStd'
  | 'pumpingLevelM'
  | 'pumpingLevelMStd'
  | 'specificCapacityM2PerS'
  | 'specificCapacityM2PerSStd'
> {
  const { state } = pipeline.estimation;
  const well = state.formerWells[day.well] ?? state.level;
  const ready = well.runs >= LEVEL_RUNS && scale.basis !== 'relative' && day.deepestM.length > 0;
  const wellTold = ready && isWellTold(well);
  const { nominal, band } = scale.known;
  const delivery = { slope: nominal.slope, halfBandPa: band.halfPa };
  const { value: drop, std: dropStd } =
    wellTold || (ready && day.levelSeen)
      ? toldDrawdown(well, day.deepestM, delivery)
      : { value: NaN, std: NaN };
  const rested = scale.known.equipment.staticLevelM;
  const capacity = specificCapacity(well);
  const capacityKnown = wellTold && isTold(capacity);
  const level = rested === null ? NaN : rested.value + drop;
  return {
    levelDropM: orNull(drop),
    levelDropMStd: orNull(dropStd),
    pumpingLevelM: orNull(level),
    pumpingLevelMStd: orNull(Number.isNaN(level) ? NaN : Math.hypot(dropStd, rested!.std)),
    specificCapacityM2PerS: capacityKnown ? capacity.value : null,
    specificCapacityM2PerSStd: capacityKnown ? capacity.std : null,
  };
}

/** Delivery and amps over tee pressure, as they are now. */
function pumpPoints(pipeline: Pipeline, list: EpochScale[]): PumpPoint[] {
  const { state, known } = pipeline.estimation;
  const { delivery, amps, tankFactor } = state;
  const scale = list.at(-1)!;
  if (Number.isNaN(delivery.learntB0)) return [];
  return [-1, 0, 1].map((x) => {
    const given = deliveryAt(delivery, known.nominal.bend, x);
    const flow = (given * tankFactor * scale.unit) / 60;
    const rel = Math.hypot(deliveryStdAt(delivery, x) / delivery.b0, 0.006, scale.relStd);
    const unknown = scale.basis === 'relative' || !(flow > 0);
    const currentA = expectedAmps(amps, x);
    return {
      pressurePaGauge: known.band.middlePaGauge + x * known.band.halfPa,
      deliveryM3PerS: unknown ? null : flow,
      deliveryM3PerSStd: unknown ? null : flow * rel,
      currentA: orNull(currentA),
      currentAStd: Number.isFinite(currentA) ? ampsScatter(amps) : null,
    };
  });
}

function recoveryOf(pipeline: Pipeline, list: EpochScale[]): RecoveryEntry {
  const { level } = pipeline.estimation.state;
  const ready = level.runs >= LEVEL_RUNS && list.at(-1)!.basis !== 'relative';
  const known = ready && isWellTold(level);
  const capacity = specificCapacity(level);
  const capacityKnown = known && isTold(capacity);
  const recovery = recoveryTime(level);
  return {
    specificCapacityM2PerS: capacityKnown ? capacity.value : null,
    specificCapacityM2PerSStd: capacityKnown ? capacity.std : null,
    recoveryS: known ? recovery.value : null,
    recoverySStd: known ? recovery.std : null,
  };
}

/** Runs with an edge that it takes until the level is more than what any well might do. */
const LEVEL_RUNS = 20;

/** An interval that reaches down to nothing tells no more than that the well is not a poor one. */
const isTold = ({ value, std }: { value: number; std: number }): boolean => value > 2 * std;

function drawEntries(pipeline: Pipeline, list: EpochScale[]): DrawEntry[] {
  const { state } = pipeline.estimation;
  const out: DrawEntry[] = [];
  let epoch = 0;
  for (let row = 0; row < state.drawTable.rows; row++) {
    const draw = drawAt(state.drawTable, row);
    while (epoch + 1 < list.length && draw.startS >= list[epoch + 1]!.fromS) epoch += 1;
    const scale = list[epoch]!;
    const std = Math.hypot(draw.std, scale.relStd * draw.volume) * scale.unit;
    const relative = scale.basis === 'relative';
    out.push({
      start: instant(draw.startS),
      stop: instant(draw.startS + draw.durationS),
      ...volume('volume', draw.volume * scale.unit, Math.max(std, 1e-9), scale),
      peakFlowM3PerS: relative ? null : (draw.peakPerMin * scale.unit) / 60,
    });
  }
  return out;
}
