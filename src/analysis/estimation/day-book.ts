import type { DayRecord } from './days.ts';
import { type DrawdownRun, learnDrawdown, xPerMetre } from './drawdown.ts';
import { addPiece } from './draws.ts';
import { edgesOf } from './edge-delivery.ts';
import { powerAt } from './energy.ts';
import type { RunBalance } from './run-balance.ts';
import type { Settling } from './settling.ts';
import type { RunRow } from './tables.ts';
import type { WeakDay } from './weak-run.ts';
import type { WeakWater } from './weak-use.ts';

const RESTED_S = 4 * 3600;

/** Of how far two ways of judging a long weak run are apart. */
const TWO_WAYS = 0.7;

/**
 * Books what a weak run pumped by day, each day with its own doubt. `water` is what the draws
 * before and after it say; the further that is from the stretches' word, the less is known.
 */
export function enterWeak(job: Settling, row: RunRow, water: WeakWater | null): void {
  const { state } = job;
  const { tankFactor } = state;
  const parts = state.weak.byDay.map((part) => ({ part, ...pumpedOnDay(job, part) }));
  const total = parts.reduce((sum, { pumped }) => sum + pumped, 0);
  const apart = water === null || !(total > 0) ? 0 : Math.abs(water.pumped / total - 1);
  row.pumped = total * tankFactor;
  row.integral0 = NaN;
  let variance = 0;
  for (const { part, pumped: unscaled, std: own } of parts) {
    const day = state.days[part.day]!;
    const pumped = unscaled * tankFactor;
    const std = Math.hypot(own * tankFactor, TWO_WAYS * apart * pumped);
    day.weakPumped += pumped;
    // What makes one weak run misread makes the next: their errors are half of one kind.
    day.weakStd = Math.sqrt(day.weakStd ** 2 + std ** 2 + day.weakStd * std);
    variance += std * std;
  }
  row.pumpedStd = Math.sqrt(variance) + 1e-4;
  row.byDay = true;
}

function pumpedOnDay({ state }: Settling, part: WeakDay): { pumped: number; std: number } {
  const usual = Number.isNaN(state.usualDay) ? state.delivery.b0 * 10 : state.usualDay;
  // What was seen to be pumped is the least; people hardly use more than they usually do.
  const unseen = 0.75 * Math.max((usual * part.weakMin) / 1440 - part.weak, 0);
  // While people drew it may have gone on delivering its best, or no more than was seen. One
  // stretch may be a tap that was shut: the second best is believed.
  const open = Math.max(state.weak.second * part.movingMin - part.weak, 0);
  return {
    pumped: part.weak + Math.max(unseen, 0.5 * open) + part.strong - 0.5 * part.strongDoubt,
    std: Math.hypot(
      0.3 * part.weak,
      0.1 * part.strong,
      0.6 * unseen,
      0.4 * open,
      0.4 * part.strongDoubt,
    ),
  };
}

/** Books a run with the days it fell on. */
export function noteDays(job: Settling, row: RunRow, weak: boolean): void {
  const { state } = job;
  const day = job.day(row.startS);
  day.tankDoubt = Math.max(day.tankDoubt, Math.abs(1 - state.tankFactor));
  day.strayed = Math.max(day.strayed, state.strayed);
  if (row.begun === 'cut-in' || row.begun === 'other') day.starts += 1;
  for (let at = row.startS; at < row.stopS; ) {
    const part = job.day(at);
    const until = at < part.endS ? Math.min(row.stopS, part.endS) : row.stopS;
    part.runS += until - at;
    if (Number.isNaN(row.meanA)) addUnseenEnergy(job, part, until - at);
    at = until;
  }
  if (!row.byDay) day.pumpedSoFar += row.pumped;
  noteLevel(job, row, day, !weak);
  noteIndex(job, day);
}

/** Cubic metres in a reference unit, as far as the tank or the pump is known. */
export function m3PerUnit({ state, known }: Settling): number {
  const byTank = known.nameplatePaM3 / known.referencePa;
  return Number.isNaN(byTank) ? (known.nominal.flowM3PerS * 60) / state.delivery.b0 : byTank;
}

/** Runs of a sound well stray less: beyond it, it is the tank that changes, and no well is seen. */
const STRAYED_MOST = 0.12;

function noteLevel(job: Settling, row: RunRow, day: DayRecord, sound: boolean): void {
  const { state, known } = job;
  const unit = m3PerUnit(job);
  const run: DrawdownRun = {
    ...edgesOf(job),
    startS: row.startS,
    stopS: row.stopS,
    flowM3PerS: (row.pumped * unit) / Math.max(row.stopS - row.startS, 1),
    m3PerUnit: unit,
    xPerM: xPerMetre(known.band.halfPa),
    sound,
    tankFactor: state.tankFactor,
    curve: known.nominal,
    teaches: true,
  };
  learnDrawdown(state.drawdown, run);
  const levels = learnDrawdown(state.level, {
    ...run,
    flowM3PerS: flowByEdges(run),
    teaches: state.strayed < STRAYED_MOST,
  });
  const well = state.formerWells.length;
  const before = day.well === well ? day.deepestM : [];
  day.well = well;
  day.levelSeen ||= run.atStart !== null || run.atStop !== null;
  // To the millimetre: many wells are supposed, and days are kept for years.
  day.deepestM = levels.map((m, j) => Math.max(Math.round(1000 * m) / 1000, before[j] ?? 0));
}

/** Both edges show what a run took from the well; a tap left open in it misleads its balance. */
function flowByEdges({ atStart, atStop, sound, m3PerUnit, flowM3PerS }: DrawdownRun): number {
  if (!sound || atStart === null || atStop === null) return flowM3PerS;
  return (0.5 * (atStart.perMin + atStop.perMin) * m3PerUnit) / 60;
}

/** Amps were not seen: what the motor usually takes stands in for them. */
function addUnseenEnergy(job: Settling, day: DayRecord, lengthS: number): void {
  const { state, known } = job;
  day.unseenAmpsS += lengthS;
  if (!Number.isNaN(state.medianA))
    day.energyJ += lengthS * powerAt(known.power, state.medianA, state.mainsV);
}

/** Rested runs that make the baseline of the pump index. */
const RESTED_RUNS = 8;
const RESTED_LEAST = 4;

/** The pump index, from runs after a long rest against the first such runs. */
function noteIndex(job: Settling, day: DayRecord): void {
  const { delivery, restS, rested, tankFactor } = job.state;
  if (!(restS >= RESTED_S) || Number.isNaN(delivery.learntB0)) return;
  if (!(delivery.lastDeviationStd < 0.06)) return;
  const own = delivery.b0 * (1 + delivery.lastDeviation) * tankFactor;
  if (rested.runs < RESTED_RUNS) {
    rested.runs += 1;
    rested.mean += (own - rested.mean) / rested.runs;
  }
  if (rested.runs < RESTED_LEAST) return;
  const weight = 1 / Math.hypot(delivery.lastDeviationStd, 0.015) ** 2;
  day.indexSum += (weight * own) / rested.mean;
  day.indexWeight += weight;
}

/** Draws that the balance found while the pump ran. */
export function addOpenings(job: Settling, balance: RunBalance, row: RunRow): void {
  const { state } = job;
  const least = Math.max(0.03 * state.delivery.b0, 2 * state.lossRate);
  for (const opening of balance.openings) {
    const startS = Math.max(opening.fromS, row.startS);
    const stopS = Math.min(opening.toS, row.stopS);
    if (!(stopS - startS > 2) || opening.rate < least) continue;
    const share = (stopS - startS) / (opening.toS - opening.fromS);
    const volume = opening.volume * share;
    addPiece(state.draws, {
      startS,
      stopS,
      volume,
      variance: (0.1 * volume) ** 2,
      peakPerMin: opening.rate,
    });
  }
}
