/**
 * A run in which the motor takes clearly less than it should at that pressure: the pump lifts
 * little or nothing (dry, gas, shut in, uncoupled), so its learnt delivery does not hold. Such
 * stretches are followed by the half minute. Gas that shrinks shows at least what the pump
 * delivers then; while people draw, it goes on delivering about what it last did; where pressure
 * stands still and the amps are low, nothing moves.
 */
const BIN_S = 30;
/** Amps below this share of what is expected at that pressure: handbook A3, 0.8 at the worst. */
const WEAK_SHARE = 0.92;
/** A motor that runs takes more than this even unloaded: less is a clamp that is off its wire. */
const LEAST_SHARE = 0.2;
/** How fast the last known delivery is forgotten. */
const MEMORY_S = 600;

/** Amps are followed over this time, so that a gulp of air is not a spell of its own. */
const FOLLOW_S = 8;
/** A spell is over once amps are back above this share of what is expected. */
const BACK_SHARE = 0.95;
/** The first seconds of a run are the start winding's. */
const INRUSH_S = 3;
/** More spells than this are run together. */
const SPELLS_MAX = 12;

export interface WeakRun {
  /** Share of the expected amps, followed, and when it last was; NaN before the first. */
  share: number;
  shareS: number;
  firstS: number;
  /** Spells of low amps so far, flat pairs of from, to [s]; the last may still go on. */
  spells: number[];
  inSpell: boolean;
  fromS: number;
  fromVolume: number;
  amps: number;
  expected: number;
  n: number;
  /** Last delivery seen in a weak stretch, reference units a minute. */
  delivery: number;
  weakS: number;
  strongS: number;
  /** The fastest and second fastest delivery of weak stretches, reference units a minute. */
  fastest: number;
  second: number;
  /** Pumped by day of the run so far, if it turns out to be a weak one. */
  byDay: WeakDay[];
}

/** What a weak run pumped on one day, reference units. */
export interface WeakDay {
  day: number;
  /** Seen to be pumped in weak stretches, and how long they were. */
  weak: number;
  weakMin: number;
  /** Minutes of weak stretches in which water moved. */
  movingMin: number;
  strong: number;
  /** By how much less than a healthy pump it may have been once the pump had been weak. */
  strongDoubt: number;
}

export interface WeakBin {
  minutes: number;
  weak: boolean;
  moving: boolean;
  /** Pumped in the bin if it was weak; else how fast the gas shrank times its minutes. */
  pumped: number;
}

export function createWeakRun(): WeakRun {
  return {
    share: NaN,
    shareS: NaN,
    firstS: NaN,
    spells: [],
    inSpell: false,
    fromS: NaN,
    fromVolume: NaN,
    amps: 0,
    expected: 0,
    n: 0,
    delivery: 0,
    weakS: 0,
    strongS: 0,
    fastest: 0,
    second: 0,
    byDay: [],
  };
}

export interface WeakReading {
  timeS: number;
  volume: number;
  std: number;
  currentA: number;
  expectedA: number;
  /** The most that a healthy pump delivers at this pressure, reference units a minute. */
  healthyPerMin: number;
}

/** Takes a reading of a run; returns a bin when one is full. */
export function stepWeakRun(weak: WeakRun, reading: WeakReading): WeakBin | null {
  followShare(weak, reading);
  if (Number.isNaN(weak.fromS)) {
    weak.fromS = reading.timeS;
    weak.fromVolume = reading.volume;
  }
  if (!Number.isNaN(reading.currentA)) {
    weak.amps += reading.currentA;
    weak.expected += reading.expectedA;
    weak.n += 1;
  }
  const lengthS = reading.timeS - weak.fromS;
  if (lengthS < BIN_S) return null;
  const share = weak.n > 0 ? weak.amps / weak.expected : NaN;
  const isWeak = share > LEAST_SHARE && share < WEAK_SHARE;
  const minutes = lengthS / 60;
  const fill = Math.max((weak.fromVolume - reading.volume) / minutes, 0);
  const rate = isWeak ? weakDelivery(weak, reading, minutes) : fill;
  const bin = { minutes, weak: isWeak, moving: rate > 0, pumped: rate * minutes };
  // The first weak stretch may still hold water that stood in the pipe.
  if (isWeak && weak.weakS > 0) {
    weak.second = Math.max(weak.second, Math.min(weak.fastest, rate));
    weak.fastest = Math.max(weak.fastest, rate);
  }
  if (isWeak) weak.weakS += lengthS;
  else weak.strongS += lengthS;
  weak.fromS = reading.timeS;
  weak.fromVolume = reading.volume;
  weak.amps = 0;
  weak.expected = 0;
  weak.n = 0;
  return bin;
}

/** Follows the share of amps and notes the spells in which it is low. */
function followShare(weak: WeakRun, { timeS, currentA, expectedA }: WeakReading): void {
  if (Number.isNaN(weak.firstS)) weak.firstS = timeS;
  const now = currentA / expectedA;
  if (Number.isNaN(now) || timeS - weak.firstS < INRUSH_S) return;
  const sinceS = Number.isNaN(weak.shareS) ? Infinity : timeS - weak.shareS;
  const lastS = Number.isNaN(weak.shareS) ? timeS : weak.shareS;
  const before = Number.isNaN(weak.share) ? now : weak.share;
  weak.share = before + (1 - Math.exp(-sinceS / FOLLOW_S)) * (now - before);
  weak.shareS = timeS;
  const low = weak.share > LEAST_SHARE && weak.share < (weak.inSpell ? BACK_SHARE : WEAK_SHARE);
  // What is followed lags by about as much as it remembers, or by half a step of a slow log.
  const turnS = Math.max(timeS - Math.max(0.5 * FOLLOW_S, 0.5 * (timeS - lastS)), weak.firstS);
  if (low && !weak.inSpell) beginSpell(weak, turnS);
  if (low) weak.spells[weak.spells.length - 1] = timeS;
  else if (weak.inSpell) weak.spells[weak.spells.length - 1] = Math.max(turnS, weak.spells.at(-2)!);
  weak.inSpell = low;
}

function beginSpell(weak: WeakRun, fromS: number): void {
  const { spells } = weak;
  const lastToS = spells[spells.length - 1] ?? -Infinity;
  if (fromS <= lastToS || spells.length >= 2 * SPELLS_MAX) return;
  spells.push(fromS, fromS);
}

function weakDelivery(weak: WeakRun, reading: WeakReading, minutes: number): number {
  const fill = (weak.fromVolume - reading.volume) / minutes;
  const noise = (4 * reading.std) / minutes;
  const fade = Math.exp((-minutes * 60) / MEMORY_S);
  if (fill > noise) {
    weak.delivery = Math.min(fill, reading.healthyPerMin);
    return weak.delivery;
  }
  if (fill < -noise) return Math.min(weak.delivery, reading.healthyPerMin);
  weak.delivery *= fade;
  return 0;
}

/** Adds a bin to the day it fell on; a strong bin counts what a healthy pump delivers. */
export function addWeakBin(weak: WeakRun, day: number, bin: WeakBin, healthyPerMin: number): void {
  let part = weak.byDay[weak.byDay.length - 1];
  if (part?.day !== day) {
    part = { day, weak: 0, weakMin: 0, movingMin: 0, strong: 0, strongDoubt: 0 };
    weak.byDay.push(part);
  }
  if (bin.weak) {
    part.weak += bin.pumped;
    part.weakMin += bin.minutes;
    if (bin.moving) part.movingMin += bin.minutes;
    return;
  }
  const healthy = healthyPerMin * bin.minutes;
  part.strong += healthy;
  // Amps that came back say that it lifts water, not that it lifts as much as before.
  if (weak.weakS > 0) part.strongDoubt += Math.max(healthy - bin.pumped, 0);
}

/** Less than this in all is a flicker. */
const SPELLS_S = 10;

/** Amps this far above what is expected at the end: it is the curve that does not fit. */
const MISFIT_SHARE = 1.05;

/** Spells of low amps, flat pairs of from, to; none where all are a flicker or the curve is off. */
export function spellsOf(weak: WeakRun): number[] {
  const { spells } = weak;
  let sum = 0;
  for (let k = 0; k < spells.length; k += 2) sum += spells[k + 1]! - spells[k]!;
  return sum < SPELLS_S || weak.share > MISFIT_SHARE ? [] : spells;
}

/** Whether enough of the run was weak for its learnt delivery not to hold. */
export function wasWeak(weak: WeakRun): boolean {
  return weak.weakS >= BIN_S && weak.weakS > 0.2 * weak.strongS;
}
