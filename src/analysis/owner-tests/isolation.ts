import { lowestAgreement } from '../estimation/loss.ts';
import { CLOCK_S } from './gather.ts';
import { bearings, normal } from './likelihood.ts';
import { type Line, lineOf, type Point, pointsOf, runSpans } from './series.ts';
import type { Bearing, Found, Job, TestOutcome } from './types.ts';

/** The gas has come to rest this long after a stop. */
const SETTLE_S = 300;
const LEAST_S = 600;
const LEAST_READINGS = 8;
/** Scatter up to this is noise; more, and somebody drew water. */
const STEADY = 2;
const PARTS = 6;
/** What the room's temperature does to the gas, share of its volume a minute. */
const ROOM_RATE = 1.9e-5;
/** Warmth left after its correction: share of the volume a minute at first, fading with s. */
const WARMTH = { rate: 2e-4, fadeS: 200 };

/** What one window lost: gas volume over tank constant a minute [1/Pa min] at mid-band pressure. */
interface Loss {
  shut: boolean;
  rate: number;
  std: number;
  /** Draws beside the steady loss, which came and went. */
  bursts: number;
  volume: number;
}

/**
 * All windows of one isolation test: what is lost with the house valve shut is lost between the
 * well and that valve, what the open valve adds is lost in the house.
 */
export function evaluateIsolation(jobs: readonly Job[]): TestOutcome {
  const startS = Math.min(...jobs.map(({ test }) => test.startS));
  const stopS = Math.max(...jobs.map(({ test }) => test.stopS));
  const outcome = { test: 'isolation', startS, stopS } as const;
  const windows = jobs.map((job) => windowLoss(job));
  const losses = windows.filter((window) => typeof window !== 'string');
  const shut = losses.filter((loss) => loss.shut);
  const reasons = [...new Set(windows.filter((window) => typeof window === 'string'))];
  if (shut.length === 0) {
    const why = reasons.length > 0 ? reasons.join('; ') : 'no window has the house valve shut';
    return { ...outcome, unusable: why, found: [], bearing: [] };
  }
  const open = losses.find((loss) => !loss.shut) ?? usualLoss(jobs[0]!, shut[0]!);
  const mean = meanOf(shut);
  const found = foundOf(jobs[0]!, mean, open);
  return { ...outcome, unusable: null, found, bearing: weigh(shut, open) };
}

function windowLoss(job: Job): Loss | string {
  const { test } = job;
  const shut = test.measured.houseValveShut === 1;
  const valve = `with the house valve ${shut ? 'shut' : 'open'}`;
  const points = pointsOf(job);
  if (points.length === 0) return `the log has no pressure from the time ${valve}`;
  const stretch = quietStretch(job, points);
  if (stretch.length === 0 || spanOf(stretch) < LEAST_S)
    return `${valve} the pump left no ten minutes of rest after the gas had settled`;
  if (stretch.length < LEAST_READINGS)
    return `${valve} there are ${stretch.length} readings, too few for a slope`;
  const lowest = Math.min(...stretch.map((p) => p.pressurePa)) - job.known.atmospherePa;
  const precharge = job.known.equipment.prechargePaGauge;
  if (precharge !== null && lowest < precharge.value - 2 * precharge.std)
    return `${valve} the pressure was below the precharge, where the tank holds no water`;
  return lossOf(job, points, stretch, shut);
}

const spanOf = (points: readonly Point[]): number => points.at(-1)!.timeS - points[0]!.timeS;

/** The longest stretch of the window without a run, settled; the clock is good to two minutes. */
function quietStretch({ test, before }: Job, points: readonly Point[]): Point[] {
  const runs = runSpans(points);
  const stops = [before.lastStopS, ...runs.map(({ stopS }) => stopS)];
  let best: Point[] = [];
  stops.forEach((stopS, k) => {
    const nextS = runs[k]?.startS ?? Infinity;
    const settledS = Number.isNaN(stopS) ? -Infinity : stopS + SETTLE_S;
    const fromS = Math.max(test.startS + CLOCK_S, settledS);
    const toS = Math.min(test.stopS - CLOCK_S, nextS - 5);
    const inside = points.filter((p) => !p.on && p.timeS >= fromS && p.timeS <= toS);
    if (inside.length > 1 && (best.length < 2 || spanOf(inside) > spanOf(best))) best = inside;
  });
  return best;
}

function lossOf(job: Job, points: readonly Point[], stretch: Point[], shut: boolean): Loss {
  const whole = lineOf(stretch)!;
  const gaugePa = 1 / whole.mean - job.known.atmospherePa;
  const root = Math.sqrt(Math.max(gaugePa / job.known.band.middlePaGauge, 0.2));
  const stops = runSpans(points).filter(({ stopS }) => stopS < stretch[0]!.timeS);
  const sinceS = stretch[0]!.timeS - (stops.at(-1)?.stopS ?? -Infinity);
  const warmth = WARMTH.rate * Math.exp(-(sinceS - SETTLE_S) / WARMTH.fadeS);
  const shared = Math.hypot(ROOM_RATE, warmth) * whole.mean;
  const toLoss = (rate: number, std: number, bursts: number): Loss => ({
    shut,
    rate: rate / root,
    std: Math.hypot(std, shared) / root,
    bursts,
    volume: whole.mean,
  });
  if (whole.scatter < STEADY) return toLoss(60 * whole.slope, 60 * whole.slopeStd, 0);
  // The search for agreement thinks in reference units.
  const { referencePa } = job.known;
  const lines = partsOf(stretch);
  const rates = lines.map((line) => 60 * line.slope * referencePa);
  const stds = lines.map((line) => 60 * line.slopeStd * referencePa);
  const found = lowestAgreement(rates, stds);
  const low = (found?.rate ?? Math.min(...rates)) / referencePa;
  const std = found === null ? Math.abs(60 * whole.slope - low) : found.std / referencePa;
  return toLoss(low, std, burstsOf(stretch, low));
}

function partsOf(stretch: Point[]): Line[] {
  const lengthS = spanOf(stretch) / PARTS;
  const from = stretch[0]!.timeS;
  return Array.from({ length: PARTS }, (_, k) =>
    lineOf(
      stretch.filter((p) => p.timeS >= from + k * lengthS && p.timeS <= from + (k + 1) * lengthS),
    ),
  ).filter((line) => line !== null);
}

/** How often more than noise left within a minute, beside the steady loss. */
function burstsOf(stretch: readonly Point[], ratePerMin: number): number {
  let bursts = 0;
  let quietS = stretch[0]!.timeS;
  for (let i = 0, j = 0; i < stretch.length; i++) {
    while (stretch[i]!.timeS - stretch[j]!.timeS > 60) j++;
    const minutes = (stretch[i]!.timeS - stretch[j]!.timeS) / 60;
    const extra = stretch[i]!.volume - stretch[j]!.volume - ratePerMin * minutes;
    if (extra < 6 * stretch[i]!.std) continue;
    if (stretch[i]!.timeS - quietS > 90) bursts += 1;
    quietS = stretch[i]!.timeS;
  }
  return bursts;
}

function meanOf(losses: readonly Loss[]): Loss {
  const weight = losses.reduce((sum, { std }) => sum + 1 / std ** 2, 0);
  const rate = losses.reduce((sum, l) => sum + l.rate / l.std ** 2, 0) / weight;
  return { ...losses[0]!, rate, std: Math.max(Math.sqrt(1 / weight), 0) };
}

/** Without a window of the open valve: what the days before the test lost at rest. */
function usualLoss({ before, known }: Job, shut: Loss): Loss {
  const unit = 1 / known.referencePa;
  const std = Math.hypot(before.lossStd, 0.1 * before.lossPerMin) * unit;
  return { ...shut, shut: false, rate: before.lossPerMin * unit, std, bursts: 0 };
}

function foundOf(job: Job, shut: Loss, open: Loss): Found[] {
  const { tankConstantPaM3: tank, tankRelStd, known } = job;
  const { middlePaGauge, halfPa } = known.band;
  const drawdown =
    1 / (middlePaGauge - halfPa + known.atmospherePa) -
    1 / (middlePaGauge + halfPa + known.atmospherePa);
  const loss = (what: string, { rate, std }: Loss): Found =>
    Number.isNaN(tank)
      ? { what, value: (60 * rate) / drawdown, std: (60 * std) / drawdown, unit: 'drawdowns/h' }
      : {
          what,
          value: (rate * tank) / 60,
          std: (Math.hypot(std, rate * tankRelStd) * tank) / 60,
          unit: 'm3/s',
        };
  const found = [
    loss('lost with the house valve shut', shut),
    loss('lost with the house valve open', open),
  ];
  if (open.bursts > 0)
    found.push({ what: 'draws that came and went', value: open.bursts, std: null, unit: 'draws' });
  if (open.rate < 3 * open.std) return found;
  const value = Math.min(Math.max(1 - shut.rate / open.rate, 0), 1);
  const std = Math.hypot(shut.std, (shut.rate / open.rate) * open.std) / open.rate;
  return [...found, { what: HOUSE_SHARE, value, std, unit: '1' }];
}

export const HOUSE_SHARE = 'share of the loss on the house side';

/** Losses that wells have, as share of the gas volume a minute: a drip to a running tap. */
const LOSS_GRID = Array.from({ length: 41 }, (_, k) => 10 ** (-4 + (k * 3) / 40));
/** A usual loss empties a usual tank in some hours, give or take a factor of four. */
const USUAL = { centre: 3e-3, logStd: 1.4 };
/** What is lost with the valve shut over what is lost with it open: value, odds. */
type Ratios = readonly (readonly [ratio: number, odds: number])[];
/** House valves often do not close tight. */
const HOUSE: Ratios = [[0, 0.85], ...[1, 3, 5, 7, 9].map((tenth) => [tenth / 10, 0.03] as const)];
/** A check valve seats as it likes at each stop, and now and then it seats well. */
const CHECK: Ratios = [
  [0.05, 0.1],
  ...[0.6, 0.8, 1, 1.25, 1.6].map((r, k) => [r, [0.1, 0.22, 0.26, 0.22, 0.1][k]!] as const),
];
/** A buried pipe leaks the same with the valve open or shut. */
const LINE: Ratios = [
  [0.85, 0.15],
  [1, 0.7],
  [1.15, 0.15],
];

function weigh(shut: readonly Loss[], open: Loss): Bearing[] {
  const v = open.volume;
  const joint = (ratios: Ratios): number => {
    let sum = 0;
    for (const share of LOSS_GRID) {
      const rate = share * v;
      const usual = normal(Math.log(share / USUAL.centre), 0, USUAL.logStd);
      let product = usual * normal(open.rate, rate, Math.hypot(open.std, 0.06 * rate));
      for (const one of shut)
        product *= ratios.reduce(
          (s, [ratio, odds]) =>
            s + odds * normal(one.rate, ratio * rate, Math.hypot(one.std, 0.06 * ratio * rate)),
          0,
        );
      sum += product;
    }
    return (sum * Math.log(1000)) / (LOSS_GRID.length - 1);
  };
  const sound = shut.reduce((p, one) => p * normal(one.rate, 0, one.std), 1);
  const house = joint(HOUSE);
  // A cistern that fills again and again, with the valve open only, is a fixture.
  const only = shut.every(({ bursts }) => bursts === 0);
  const again = only ? [1, 2, 5][Math.min(open.bursts, 2)]! : 1;
  const quiet = sound * normal(open.rate, 0, open.std);
  const fixture = again > 1 ? again * Math.max(house, quiet) : house;
  return bearings(
    [
      ['leak-house', house],
      ['fixture-running', fixture],
      ['check-valve-leak', joint(CHECK)],
      ['leak-before-house-valve', joint(LINE)],
    ],
    quiet,
  );
}
