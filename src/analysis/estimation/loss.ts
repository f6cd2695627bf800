/**
 * Water that leaves steadily at rest. Each rest is cut into windows, each window gives a flow, and
 * the lowest flow at which several windows of one rest agree is what that rest loses: people draw
 * now and then, a leak leaks all the time. A check valve that seats one time and not the next
 * leaks at another rate in every rest, so rests are judged one by one, then added up to the day.
 */
const FIRST_WINDOW_S = 150;
const WINDOW_S = 600;
const SHORT_WINDOWS = 4;
const POINTS = 5;
const SHORTEST_S = 100;
/** The gas has come to rest by then, as far as the correction leaves anything. */
const SETTLE_S = 240;
/** A rest that is over before then is judged by windows so long from so soon, with their warmth. */
const EARLY_FROM_S = 30;
const EARLY_WINDOW_S = 30;
const WINDOWS_KEPT = 120;
const RESTS_KEPT = 400;
const AGREEING = 3;
/**
 * A room that cools by a kelvin in three hours shrinks the gas by as much as a small leak would:
 * (1/290)/180 min, relative to the gas volume (own arithmetic from the gas law).
 */
const ROOM_RATE = 1.9e-5;
/**
 * A flow met in fewer rests than this is somebody's long draw, and so is one met in several rests
 * of a few hours: a softener at its work fills rest after rest.
 */
const RESTS_WITH_LOSS = 3;
const SPREAD_S = 5 * 3600;
const LOSS_MIN = 240;

export interface LossRate {
  /** Reference units a minute at sqrt(p/ref) = 1. */
  rate: number;
  std: number;
}

interface RestLoss {
  atS: number;
  /** NaN where the rest was too short for the gas to settle, or its windows do not agree. */
  rate: number;
  std: number;
  /** What its first minutes show: that counts of a well only that is known to lose. */
  earlyRate: number;
  earlyStd: number;
  rootMin: number;
  left: number;
}

export interface LossState {
  /** The window in hand: sums about means, time from its start. */
  fromS: number;
  n: number;
  meanT: number;
  meanV: number;
  tt: number;
  tv: number;
  rootSum: number;
  /** Windows of the rest in hand. */
  rates: number[];
  stds: number[];
  /** Whether the window in hand is one of the first minutes, and those windows. */
  early: boolean;
  earlyRates: number[];
  earlyStds: number[];
  /** Minutes of the rest in hand, weighted by sqrt(p/ref). */
  rootMin: number;
  /** Gas volume that the rest in hand gained: more than this did not leave. */
  left: number;
  lastS: number;
  lastVolume: number;
  /** Rests of the day in hand; rate NaN where the rest could not tell. */
  rests: RestLoss[];
}

export function createLoss(): LossState {
  return {
    fromS: NaN,
    n: 0,
    meanT: 0,
    meanV: 0,
    tt: 0,
    tv: 0,
    rootSum: 0,
    rates: [],
    stds: [],
    early: false,
    earlyRates: [],
    earlyStds: [],
    rootMin: 0,
    left: 0,
    lastS: NaN,
    lastVolume: NaN,
    rests: [],
  };
}

export interface RestReading {
  timeS: number;
  /** Gas volume, its white noise, sqrt(p/ref). */
  volume: number;
  std: number;
  root: number;
  sinceStopS: number;
}

/** Takes one reading at rest. */
export function stepLoss(loss: LossState, reading: RestReading): void {
  if (!Number.isNaN(loss.lastS)) {
    loss.rootMin += ((reading.timeS - loss.lastS) / 60) * reading.root;
    loss.left += reading.volume - loss.lastVolume;
  }
  loss.lastS = reading.timeS;
  loss.lastVolume = reading.volume;
  if (reading.sinceStopS < EARLY_FROM_S) return;
  const early = reading.sinceStopS < SETTLE_S;
  if (loss.early !== early) clearWindow(loss);
  loss.early = early;
  if (Number.isNaN(loss.fromS)) loss.fromS = reading.timeS;
  addPoint(loss, reading.timeS - loss.fromS, reading.volume, reading.root);
  const settledS = loss.rates.length < SHORT_WINDOWS ? FIRST_WINDOW_S : WINDOW_S;
  const lengthS = early ? EARLY_WINDOW_S : settledS;
  const elapsedS = reading.timeS - loss.fromS;
  // A device that reports on change may need longer for the points that a slope takes.
  if (elapsedS >= lengthS && (loss.n >= (early ? 3 : POINTS) || elapsedS >= WINDOW_S))
    finishWindow(loss, reading);
}

/** The rest is interrupted by a test: its windows so far count, the time under test does not. */
export function skipLoss(loss: LossState): void {
  clearWindow(loss);
  loss.lastS = NaN;
}

/** A valve that seats badly leaks at one time so much more than at another. */
const AS_BEFORE = 2.5;

const UNTOLD: LossRate = { rate: NaN, std: NaN };

/** The rest ends, or the day does: what this rest loses is entered. */
export function endRest(loss: LossState, last: RestReading | null): void {
  const longEnough = last !== null && last.timeS - loss.fromS >= SHORTEST_S && loss.n >= 6;
  if (longEnough && !loss.early) finishWindow(loss, last);
  clearWindow(loss);
  if (loss.rootMin > 0 && loss.rests.length < RESTS_KEPT) {
    const { rootMin, left, lastS: atS } = loss;
    const { rate, std } = lowestAgreement(loss.rates, loss.stds) ?? UNTOLD;
    const early = lowestAgreement(loss.earlyRates, loss.earlyStds) ?? UNTOLD;
    const rest = { atS, rate, std, earlyRate: early.rate, earlyStd: early.std, rootMin, left };
    loss.rests.push(rest);
  }
  loss.rates = [];
  loss.stds = [];
  loss.earlyRates = [];
  loss.earlyStds = [];
  loss.rootMin = 0;
  loss.left = 0;
  loss.lastS = NaN;
}

function addPoint(loss: LossState, t: number, v: number, root: number): void {
  loss.n += 1;
  const dt = t - loss.meanT;
  loss.meanT += dt / loss.n;
  loss.tt += dt * (t - loss.meanT);
  const dv = v - loss.meanV;
  loss.meanV += dv / loss.n;
  loss.tv += dt * (v - loss.meanV);
  loss.rootSum += root;
}

function finishWindow(loss: LossState, last: RestReading): void {
  const root = Math.max(loss.rootSum / loss.n, 0.2);
  if (loss.rates.length < WINDOWS_KEPT && loss.tt > 0 && loss.n >= 3) {
    const noise = (last.std / Math.sqrt(loss.tt)) * 60;
    // What is left of the gas's warmth after its correction, fading with the minutes.
    const warmth = 4e-4 * Math.exp(-(last.sinceStopS - SETTLE_S) / 200);
    (loss.early ? loss.earlyRates : loss.rates).push(((loss.tv / loss.tt) * 60) / root);
    (loss.early ? loss.earlyStds : loss.stds).push(Math.hypot(noise, ROOM_RATE, warmth) / root);
  }
  clearWindow(loss);
}

function clearWindow(loss: LossState): void {
  loss.fromS = NaN;
  loss.n = 0;
  loss.meanT = 0;
  loss.meanV = 0;
  loss.tt = 0;
  loss.tv = 0;
  loss.rootSum = 0;
}

/** The lowest flow at which several windows agree within their errors; null where none do. */
export function lowestAgreement(rates: number[], stds: number[]): LossRate | null {
  const need = Math.max(AGREEING, Math.ceil(0.2 * rates.length));
  if (rates.length < need) return null;
  const order = rates.map((_, i) => i).sort((a, b) => rates[a]! - rates[b]! || a - b);
  for (let k = 0; k + need <= order.length; k++) {
    const low = order[k]!;
    const high = order[k + need - 1]!;
    const width = 2 * (stds[low]! + stds[high]!) + 0.1 * Math.abs(rates[high]!);
    if (rates[high]! - rates[low]! > width) continue;
    return meanAround(rates, stds, rates[order[k + Math.floor(need / 2)]!]!);
  }
  return null;
}

function meanAround(rates: number[], stds: number[], centre: number): LossRate {
  let sum = 0;
  let weight = 0;
  let n = 0;
  let squares = 0;
  for (const [i, rate] of rates.entries()) {
    if (Math.abs(rate - centre) > 2.5 * stds[i]! + 0.1 * Math.abs(centre)) continue;
    const w = 1 / stds[i]! ** 2;
    sum += w * rate;
    weight += w;
    squares += (rate - centre) ** 2;
    n += 1;
  }
  const scatter = Math.sqrt(squares / Math.max(n - 1, 1) / n);
  // Errors that all windows of a rest share (the room's temperature) do not average out.
  return { rate: sum / weight, std: Math.hypot(Math.sqrt(1 / weight), scatter, ROOM_RATE) };
}

export interface DayLoss {
  /** Lost at rest over the day, reference units, and mean rate; std of each. */
  volume: number;
  volumeStd: number;
  rate: number;
  rateStd: number;
}

/** A loss as large as this is met in several rests of the day, hours apart, or for hours. */
function isSteady(rate: number, losing: { atS: number; rate: number; rootMin: number }[]): boolean {
  const peers = losing.filter((rest) => rest.rate > 0.4 * rate);
  const minutes = peers.reduce((sum, { rootMin }) => sum + rootMin, 0);
  const spreadS = peers.at(-1)!.atS - peers[0]!.atS;
  return (peers.length >= RESTS_WITH_LOSS && spreadS >= SPREAD_S) || minutes >= LOSS_MIN;
}

/** Gas volume over a rest is known to about this. */
const REST_ENDS = 0.003;

/** What a rest lost at a rate: a flow through part of it did not leave it whole. */
function lostIn({ rootMin, left }: RestLoss, rate: number): number {
  return Math.min(rate * rootMin, Math.max(left, 0) + REST_ENDS);
}

/**
 * What was lost in rests that do not tell: short ones, and uneven ones. People drew, or the well
 * loses fast just then. Where it is known to lose, and at another rate in every rest (spread,
 * the standard deviation of the rate), the truth is between its usual rate and what they show.
 */
function shortRests(
  rests: RestLoss[],
  { rate, rateStd, spread }: { rate: number; rateStd: number; spread: number },
): { volume: number; std: number } {
  const losing = rate > 3 * rateStd;
  const uneven = losing ? Math.min(spread / rate, 1) : 0;
  let volume = 0;
  let std = 0;
  for (const rest of rests) {
    const usual = lostIn(rest, rate);
    const clear = rest.earlyRate > 3 * rest.earlyStd;
    const shown = clear ? lostIn(rest, rest.earlyRate) : usual;
    const most = clear ? shown : lostIn(rest, Infinity);
    volume += usual + 0.5 * uneven * (shown - usual);
    std += 0.4 * uneven * Math.abs(most - usual);
  }
  return { volume, std };
}

/**
 * What the day's rests lost, and a fresh start for the next day; null where no rest could tell.
 * `usualRate` is what the well is known to lose, 0 where it loses nothing.
 */
export function closeLossDay(loss: LossState, usualRate: number): DayLoss | null {
  const told = loss.rests.filter(({ rate }) => !Number.isNaN(rate));
  const silent = loss.rests.filter(({ rate }) => Number.isNaN(rate));
  const silentMin = silent.reduce((sum, { rootMin }) => sum + rootMin, 0);
  loss.rests = [];
  if (told.length === 0) return null;
  const toldMin = told.reduce((sum, { rootMin }) => sum + rootMin, 0);
  const losing = told.filter(({ rate, std }) => rate > 3 * std);
  const counted = told.map((rest) => {
    const clear = rest.rate > 3 * rest.std;
    // What was lost yesterday is lost today.
    const asBefore = rest.rate < AS_BEFORE * usualRate;
    const isUse = clear && !asBefore && !isSteady(rest.rate, losing);
    return isUse ? { ...rest, rate: 0 } : rest;
  });
  const volume = counted.reduce((sum, rest) => sum + lostIn(rest, rest.rate), 0);
  const rate = Math.max(volume / toldMin, 0);
  // Errors of the rests are of one kind (room, gas), so they add up rather than cancel.
  const own = counted.reduce((sum, { std, rootMin }) => sum + std * rootMin, 0);
  const spread = Math.sqrt(
    counted.reduce((sum, r) => sum + r.rootMin * (r.rate - rate) ** 2, 0) / toldMin,
  );
  const short = shortRests(silent, { rate, rateStd: own / toldMin, spread });
  return {
    volume: Math.max(volume + short.volume, 0),
    volumeStd: Math.hypot(own, spread * silentMin, short.std, 0.02 * rate * toldMin),
    rate,
    rateStd: Math.hypot(own / toldMin, spread / Math.sqrt(counted.length)),
  };
}
