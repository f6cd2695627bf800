import { PSI_PA } from '../../units/table.ts';

/** What one rest shows: from a stop of the pump to the next start. Pressures are gauge Pa. */
export interface RestFacts {
  startS: number;
  /** Pressure at the stop, and its fall in the first seconds after it. */
  stopPa: number;
  soonPa: number;
  /** Readings that stand clear of both neighbours. */
  spikes: number;
  /** Fastest growth of gas volume kept up over some seconds, reference units a minute. */
  steepest: number;
  readings: number;
  firstS: number;
  lastS: number;
  lastPa: number;
  previousS: number;
  previousPa: number;
  /** Time and volume of the last readings, in turn. */
  ring: number[];
}

const RING_S = 2;
const SPIKE_PA = 3 * PSI_PA;
const RING = 3;

export function createRestFacts(startS: number, stopPa: number): RestFacts {
  return {
    startS,
    stopPa,
    soonPa: NaN,
    spikes: 0,
    steepest: 0,
    readings: 0,
    firstS: NaN,
    lastS: NaN,
    lastPa: NaN,
    previousS: NaN,
    previousPa: NaN,
    ring: new Array<number>(2 * RING).fill(NaN),
  };
}

export interface RestRow {
  timeS: number;
  gaugePa: number;
  volume: number;
}

export function stepRestFacts(facts: RestFacts, row: RestRow): void {
  const { timeS, gaugePa } = row;
  const sinceS = timeS - facts.startS;
  if (facts.readings === 0) facts.firstS = timeS;
  facts.readings += 1;
  if (Number.isNaN(facts.soonPa) && sinceS >= RING_S) facts.soonPa = facts.stopPa - gaugePa;
  noteSpike(facts, row);
  noteSteepest(facts, row);
  facts.previousS = facts.lastS;
  facts.previousPa = facts.lastPa;
  facts.lastS = timeS;
  facts.lastPa = gaugePa;
}

/**
 * What a start may have come below the last reading before it, Pa: pressure that falls fast has
 * gone on falling.
 */
export function fallenSince(facts: RestFacts, startS: number): number {
  const { lastS, lastPa, previousS, previousPa, stopPa } = facts;
  const fromS = Number.isNaN(previousS) ? facts.startS : previousS;
  const fromPa = Number.isNaN(previousPa) ? stopPa : previousPa;
  return Math.max(((fromPa - lastPa) / (lastS - fromS)) * (startS - lastS), 0);
}

/** The reading before this one is a spike when it stands clear of both its neighbours. */
function noteSpike(facts: RestFacts, row: RestRow): void {
  const { lastPa, previousPa } = facts;
  if (Number.isNaN(previousPa) || row.timeS - facts.previousS > 30) return;
  const up = lastPa - Math.max(previousPa, row.gaugePa);
  const down = Math.min(previousPa, row.gaugePa) - lastPa;
  if (Math.max(up, down) > SPIKE_PA) facts.spikes += 1;
}

/** Each reading is compared with the one three before it, kept in a ring. */
function noteSteepest(facts: RestFacts, row: RestRow): void {
  const { ring } = facts;
  const at = 2 * (facts.readings % RING);
  const minutes = (row.timeS - ring[at]!) / 60;
  // Growth per minute; a ring not yet full compares with NaN and tells nothing.
  if (minutes <= 1 && minutes >= 0.03) {
    const rate = (row.volume - ring[at + 1]!) / minutes;
    if (rate > facts.steepest) facts.steepest = rate;
  }
  ring[at] = row.timeS;
  ring[at + 1] = row.volume;
}
