import type { SettledRun } from '../estimation/state.ts';
import { fallenSince, type RestFacts } from './rest-facts.ts';
import { ampsOf, jitterOf, type RunFacts, shareOf, wiggleOf } from './run-facts.ts';

/** One run as the diagnosis weighs it: what it, the rest before and the minutes after showed. */
export interface RunRecord {
  startS: number;
  stopS: number;
  restS: number;
  begun: SettledRun['row']['begun'];
  ended: SettledRun['row']['ended'];
  cutOutMet: boolean;
  byPressure: boolean;
  breaks: number;
  /** Gauge Pa: where it began and ended. */
  cutInPa: number;
  cutOutPa: number;
  /** What the start may have come below the last reading before it. */
  cutInDoubtPa: number;
  /** Lowest around the start. */
  lowPa: number;
  deadS: number;
  gapS: number;
  /** Pressure readings in the run. */
  readings: number;
  /** Mean time between them, the last before and the first after the run among them. */
  everyS: number;
  meanA: number;
  meanX: number;
  slopeA: number;
  highA: number;
  /** Highest amps between readings, at its start; NaN where the device does not tell. */
  peakA: number;
  /** Draws of the last night's quiet hours; NaN where none was seen. */
  nightDraws: number;
  /** Share of the six hours before its stop in which the pump ran. */
  duty: number;
  /** For how long water had not stood still at its stop. */
  flowingS: number;
  startTimeS: number;
  mainsV: number;
  jitterA: number;
  /** Greatest change of running amps from reading to reading, as a share of them. */
  leap: number;
  wigglePa: number;
  /** Delivery by its own balance, reference units a minute. */
  ratePerMin: number;
  /** Share of expected delivery that stayed in the tank, before and after the first minute. */
  earlyShare: number;
  lateShare: number;
  /** Fall of pressure just after the stop. */
  soonPa: number;
  /** The rest before the run. */
  rest: {
    spikes: number;
    readings: number;
    steepest: number;
    lossPerMin: number;
  };
}

export function runRecord(
  facts: RunFacts,
  settled: SettledRun,
  rests: { before: RestFacts | null; after: RestFacts | null },
  loss: { rate: number },
  more: { nightDraws: number; duty: number; flowingS: number },
): RunRecord {
  const { row } = settled;
  const amps = ampsOf(facts);
  const { before, after } = rests;
  return {
    startS: row.startS,
    stopS: row.stopS,
    restS: settled.restS,
    begun: row.begun,
    ended: row.ended,
    cutOutMet: settled.cutOutMet,
    byPressure: row.foundBy === 'pressure',
    breaks: row.breaks + facts.startsAgain,
    cutInPa: row.cutInPaGauge,
    cutOutPa: row.cutOutPaGauge,
    cutInDoubtPa: before === null ? NaN : fallenSince(before, row.startS),
    lowPa: facts.lowPa,
    deadS: facts.deadS,
    gapS: facts.gapS,
    readings: facts.readings,
    everyS: spacing(facts, row, rests),
    meanA: Number.isNaN(amps.mean) ? row.meanA : amps.mean,
    meanX: amps.x,
    slopeA: amps.slope,
    highA: facts.highA,
    peakA: facts.peakA,
    ...more,
    startTimeS: facts.startTimeS,
    mainsV: settled.mainsV,
    jitterA: jitterOf(facts),
    leap: facts.leap,
    wigglePa: wiggleOf(facts),
    ratePerMin: settled.ratePerMin,
    earlyShare: shareOf(facts.early),
    lateShare: shareOf(facts.late),
    soonPa: after?.soonPa ?? NaN,
    rest: {
      spikes: before?.spikes ?? 0,
      readings: before?.readings ?? 0,
      steepest: before?.steepest ?? NaN,
      lossPerMin: loss.rate,
    },
  };
}

function spacing(
  facts: RunFacts,
  { startS, stopS }: { startS: number; stopS: number },
  { before, after }: { before: RestFacts | null; after: RestFacts | null },
): number {
  const s = (after?.firstS ?? NaN) - (before?.lastS ?? NaN);
  if (s > 0) return s / (facts.readings + 1);
  if (facts.readings < 2 && before !== null) return before.lastS - before.previousS;
  return (stopS - startS) / Math.max(facts.readings, 1);
}
