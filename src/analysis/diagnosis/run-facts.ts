import { PSI_PA } from '../../units/table.ts';

/**
 * What one run shows, row by row, before anything is judged. Pressures are gauge Pa, volumes are
 * the tank's gas volume in reference units, `x` is tee pressure in half bands from mid band.
 */
export interface RunFacts {
  startS: number;
  /** Last pressure with the pump on. */
  lastPa: number;
  /** Lowest pressure from the last before the start to `EARLY_S` after it. */
  lowPa: number;
  /** Seconds from the first reading with the pump on to the first clear rise; NaN without one. */
  deadS: number;
  /** Longest time between two pressure readings of the run. */
  gapS: number;
  /** Running amps (after the start): sums over readings with pressure known. */
  amps: { n: number; x: number; xx: number; a: number; xa: number };
  /** Squared change of amps from reading to reading, less its mean, and how many. */
  jitter: { n: number; sum: number; squares: number };
  /** Greatest change of running amps from reading to reading, as a share of them; NaN where the
   * device is silent while they stay, so that two readings may lie far apart. */
  leap: number;
  highA: number;
  /** Highest amps between readings, as the device tells them; NaN where it does not. */
  peakA: number;
  /** Peaks within the run, as of another start. */
  startsAgain: number;
  /** The last reading of amps, not yet taken in. */
  held: { timeS: number; x: number; currentA: number; told: boolean } | null;
  /** What the device itself says of the start, where it does; s. */
  startTimeS: number;
  early: Fill;
  late: Fill;
  /** Rough movement of pressure: squared second differences. */
  wiggle: { n: number; squares: number };
  /** Pressure readings of the run. */
  readings: number;
  lastS: number;
  lastVolume: number;
  previousPa: number;
  lastA: number;
  lastAS: number;
}

/** What came in against what a sound pump would have delivered at the same pressures. */
export interface Fill {
  gained: number;
  expected: number;
  minutes: number;
}

/** The start carries inrush, ringing and the column of water getting under way. */
const START_S = 3;
const EARLY_S = 15;
/** Amps are the running ones from here on. */
const SETTLED_S = 5;
/** Where the early part of a run ends and the late one begins. */
const LATE_S = 60;
const RISE_PA = 0.6 * PSI_PA;

const noFill = (): Fill => ({ gained: 0, expected: 0, minutes: 0 });

export function createRunFacts(startS: number, beforePa: number): RunFacts {
  return {
    startS,
    lastPa: NaN,
    lowPa: beforePa,
    deadS: NaN,
    gapS: 0,
    amps: { n: 0, x: 0, xx: 0, a: 0, xa: 0 },
    jitter: { n: 0, sum: 0, squares: 0 },
    leap: 0,
    highA: NaN,
    peakA: NaN,
    startsAgain: 0,
    held: null,
    startTimeS: NaN,
    early: noFill(),
    late: noFill(),
    wiggle: { n: 0, squares: 0 },
    readings: 0,
    lastS: NaN,
    lastVolume: NaN,
    previousPa: NaN,
    lastA: NaN,
    lastAS: NaN,
  };
}

/** One row with the pump on. */
export interface RunRow {
  timeS: number;
  gaugePa: number;
  x: number;
  volume: number;
  currentA: number;
  /** Told now, and not last by a device that is silent while amps stay. */
  ampsTold: boolean;
  /** Delivery to be expected here, reference units a minute. */
  expectedPerMin: number;
}

export function stepRunFacts(facts: RunFacts, row: RunRow): void {
  if (!Number.isNaN(row.currentA)) stepAmps(facts, row);
  if (!Number.isNaN(row.gaugePa)) stepPressure(facts, row);
}

/**
 * The last reading of a run may hold the stop within it, so each is taken in only when another one
 * with the pump on has followed.
 */
function stepAmps(facts: RunFacts, row: RunRow): void {
  const { currentA, timeS } = row;
  facts.highA = Number.isNaN(facts.highA) ? currentA : Math.max(facts.highA, currentA);
  takeHeld(facts);
  facts.held =
    timeS - facts.startS < SETTLED_S ? null : { timeS, x: row.x, currentA, told: row.ampsTold };
}

function takeHeld(facts: RunFacts): void {
  const { held } = facts;
  if (held === null) return;
  const { currentA, timeS, x, told } = held;
  if (told && timeS - facts.lastAS <= 12) {
    const change = currentA - facts.lastA;
    facts.jitter.n += 1;
    facts.jitter.sum += change;
    facts.jitter.squares += change * change;
    facts.leap = Math.max(facts.leap, Math.abs(change) / Math.max(currentA, facts.lastA) || 0);
  }
  if (!told) facts.leap = NaN;
  facts.lastA = currentA;
  facts.lastAS = timeS;
  if (Number.isNaN(x)) return;
  const { amps } = facts;
  amps.n += 1;
  amps.x += x;
  amps.xx += x * x;
  amps.a += currentA;
  amps.xa += x * currentA;
}

function stepPressure(facts: RunFacts, row: RunRow): void {
  const { gaugePa, timeS } = row;
  const sinceS = timeS - facts.startS;
  facts.readings += 1;
  if (facts.readings > 1) facts.gapS = Math.max(facts.gapS, timeS - facts.lastS);
  if (sinceS <= EARLY_S) facts.lowPa = least(facts.lowPa, gaugePa);
  if (Number.isNaN(facts.deadS) && gaugePa > facts.lowPa + RISE_PA) facts.deadS = sinceS;
  if (sinceS >= START_S && !Number.isNaN(facts.lastVolume)) {
    const minutes = (timeS - facts.lastS) / 60;
    const part = sinceS < LATE_S ? facts.early : facts.late;
    if (row.expectedPerMin > 0) {
      part.gained += facts.lastVolume - row.volume;
      part.expected += row.expectedPerMin * minutes;
      part.minutes += minutes;
    }
    const bend = gaugePa - 2 * facts.lastPa + facts.previousPa;
    if (!Number.isNaN(bend)) {
      facts.wiggle.n += 1;
      facts.wiggle.squares += bend * bend;
    }
  }
  facts.previousPa = facts.lastPa;
  facts.lastPa = gaugePa;
  facts.lastS = timeS;
  facts.lastVolume = row.volume;
}

const least = (a: number, b: number): number => (Number.isNaN(a) ? b : Math.min(a, b));

/** Share of expected delivery that stayed in the tank; NaN where too little was seen. */
export function shareOf(fill: Fill): number {
  return fill.minutes > 0.05 ? fill.gained / fill.expected : NaN;
}

/** How far amps jump from reading to reading beyond their trend, standard deviation [A]. */
export function jitterOf(facts: RunFacts): number {
  const { n, sum, squares } = facts.jitter;
  if (n < 5) return NaN;
  return Math.sqrt(Math.max(squares / n - (sum / n) ** 2, 0) / 2);
}

/** Roughness of pressure with the pump on, standard deviation [Pa]. */
export function wiggleOf(facts: RunFacts): number {
  return facts.wiggle.n < 5 ? NaN : Math.sqrt(facts.wiggle.squares / facts.wiggle.n / 6);
}

/** Mean amps and their slope over x; slope NaN where the run spans too little. */
export function ampsOf(facts: RunFacts): { mean: number; x: number; slope: number } {
  const { n, x, xx, a, xa } = facts.amps;
  if (n < 3) return { mean: NaN, x: NaN, slope: NaN };
  const det = n * xx - x * x;
  return { mean: a / n, x: x / n, slope: det > 0.05 * n * n ? (n * xa - x * a) / det : NaN };
}
