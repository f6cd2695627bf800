import { PSI_PA } from '../../units/table.ts';
import { CLOCK_S } from './gather.ts';
import { bearings, normal } from './likelihood.ts';
import { type Point, pointsOf, runSpans } from './series.ts';
import { type AirSeen, cutInOf, wantedPrecharge, weighAir } from './tank-air.ts';
import { tankVolume } from './tank-volume.ts';
import type { Bearing, Found, Job, TestOutcome } from './types.ts';

/** Gauge pressure that counts as empty. */
const EMPTY_PA = 2 * PSI_PA;
const LEAST_POINTS = 12;
/** The tap is being opened and the gas follows: the curve is followed from here on, s. */
const OPENED_S = 10;
/** What the gas volume may differ from its curve before the tank counts as empty. */
const OFF_CURVE = { noises: 6, share: 0.02 };
/** What the correction of the gas leaves, and the form of the knee. */
const MODEL_PA = 0.3 * PSI_PA;
/** Height between tap and sensor that nobody measured, as pressure. */
const TAP_HEIGHT_PA = 0.7 * PSI_PA;
const SENSOR_STD_PA = 0.4 * PSI_PA;
const DRIFTED_STD_PA = 5 * PSI_PA;
/** A tank that is shut off gives nothing: the pipes are empty within this time, s. */
const PIPES_ONLY_S = 30;

/**
 * A tank drained through one tap. Over the integral of the root of pressure the gas volume follows
 * one smooth curve as long as water leaves the tank; where it leaves that curve the tank is empty,
 * and the gas has its precharge.
 */
export function evaluateDrain(job: Job): TestOutcome {
  const { startS, stopS } = job.test;
  const outcome = { test: 'drain', startS, stopS } as const;
  const no = (unusable: string): TestOutcome => ({ ...outcome, unusable, found: [], bearing: [] });
  const points = pointsOf(job).filter(
    ({ timeS }) => timeS >= startS - CLOCK_S - 30 && timeS <= stopS + CLOCK_S,
  );
  if (points.length === 0) return no('the log has no pressure from then');
  const runs = runSpans(points).filter((run) => run.stopS > startS + CLOCK_S);
  if (runs.some((run) => run.startS < stopS - CLOCK_S))
    return no('the pump ran during it: its breaker was on');
  const againS = runs[0]?.startS ?? Infinity;
  const rest = points.filter((p) => !p.on && p.timeS < againS - 5);
  const gauge = (p: Point): number => p.pressurePa - job.known.atmospherePa;
  const from = opening(rest);
  const down = from < 0 ? [] : rest.slice(from);
  if (down.length < LEAST_POINTS) return no('the pressure shows no draining near its times');
  const lowest = Math.min(...down.map(gauge));
  const emptyS = down.find((p) => gauge(p) < lowest + EMPTY_PA)!.timeS;
  const found = [...zeroOf(down, gauge, emptyS)];
  const drift = lowest < 0.5 * gauge(down[0]!) ? weighZero(found) : [];
  if (emptyS - down[0]!.timeS < PIPES_ONLY_S && lowest < 0.3 * gauge(down[0]!)) {
    const took = { what: 'time until the pressure was gone', std: null, unit: 's' };
    found.push({ ...took, value: emptyS - down[0]!.timeS });
    return { ...outcome, unusable: null, found, bearing: [...weighPipesOnly(), ...drift] };
  }
  return judged(job, { outcome, down, lowest, found, drift });
}

interface Drained {
  outcome: { readonly test: 'drain'; startS: number; stopS: number };
  down: Point[];
  lowest: number;
  found: Found[];
  drift: Bearing[];
}

function judged(job: Job, drained: Drained): TestOutcome {
  const { outcome, down, lowest, found, drift } = drained;
  const { atmospherePa, equipment } = job.known;
  const no = (unusable: string): TestOutcome => ({ ...outcome, unusable, found, bearing: drift });
  const knee = kneeOf(down, atmospherePa);
  if (knee === 'too-few')
    return no('too few readings stand between its start and the end of the water to fit a curve');
  if (knee === null && lowest > 0.5 * (equipment.prechargePaGauge?.value ?? cutInOf(job)))
    return no('the pressure was not let down far enough: no end of the water is seen');
  if (knee !== null && knee.timeS - down[0]!.timeS < PIPES_ONLY_S) {
    const took = { what: 'time until the water ended', std: null, unit: 's' };
    found.push({ ...took, value: knee.timeS - down[0]!.timeS });
    return { ...outcome, unusable: null, found, bearing: [...weighPipesOnly(), ...drift] };
  }
  const seen: AirSeen = knee ?? { valuePaGauge: Math.max(lowest, 0), stdPa: PSI_PA, isBelow: true };
  if (seen.isBelow)
    found.unshift({
      what: 'no end of the water; the precharge is below',
      value: seen.valuePaGauge,
      std: seen.stdPa,
      unit: 'Pa',
    });
  else {
    const { valuePaGauge: value, stdPa: std } = seen;
    found.unshift({ what: 'precharge where the water ends', value, std, unit: 'Pa' });
    found.push(...constantOf(job, down, value + atmospherePa));
    found.push(...tankVolume(job, value, std));
  }
  const wanted = wantedPrecharge(job);
  if (Number.isNaN(wanted))
    return no('neither the log nor the well file says at what pressure the pump cuts in');
  found.push({ what: 'precharge wanted', value: wanted, std: null, unit: 'Pa' });
  return { ...outcome, unusable: null, found, bearing: [...weighAir(job, seen), ...drift] };
}

/** Index of the last reading before the tap was opened; -1 where pressure does not fall. */
function opening(rest: readonly Point[]): number {
  if (rest.length < 5) return -1;
  const first = rest.slice(0, 5).reduce((sum, p) => sum + p.volume, 0) / 5;
  const last = Math.max(...rest.map((p) => p.volume));
  if (last < 1.1 * first) return -1;
  const crossed = rest.findIndex((p) => p.volume > first * 1.02 + 6 * p.std);
  let at = crossed;
  while (at > 0 && rest[at]!.volume > first + 4 * rest[at]!.std) at -= 1;
  return at;
}

function kneeOf(
  down: readonly Point[],
  atmospherePa: number,
): (AirSeen & { timeS: number }) | 'too-few' | null {
  const s: number[] = [0];
  const root = (p: Point): number => Math.sqrt(Math.max(p.pressurePa - atmospherePa, 0));
  for (let i = 1; i < down.length; i++) {
    const dt = down[i]!.timeS - down[i - 1]!.timeS;
    s.push(s[i - 1]! + 0.5 * dt * (root(down[i]!) + root(down[i - 1]!)));
  }
  const from = down.findIndex((p) => p.timeS > down[0]!.timeS + OPENED_S);
  for (let k = from + 5; k + 2 < down.length; k++) {
    const curve = parabola(s.slice(from, k), down.slice(from, k));
    const off = [k, k + 1, k + 2].every((i) => {
      const { volume, std } = down[i]!;
      return volume - curve(s[i]!) > OFF_CURVE.noises * std + OFF_CURVE.share * volume;
    });
    if (!off) continue;
    const { timeS } = down[k - 1]!;
    const isQuick = timeS - down[0]!.timeS < PIPES_ONLY_S;
    if (k - from < LEAST_POINTS / 2 && !isQuick) return 'too-few';
    // Empty after the last reading on the curve and before the first one off it.
    const high = 1 / curve(s[k - 1]!);
    const low = 1 / curve(s[k - 1]! + (down[k]!.timeS - down[k - 1]!.timeS) * root(down[k - 1]!));
    const value = 0.5 * (high + low);
    const { theta, std, volume } = down[k - 1]!;
    const thermal = 0.15 * Math.abs(theta) * value;
    const noise = ((std / volume) * value) / Math.sqrt(Math.min(k - from, 5));
    const stdPa = Math.hypot(noise, (high - low) / Math.sqrt(12), thermal, MODEL_PA);
    return { valuePaGauge: value - atmospherePa, stdPa, isBelow: false, timeS };
  }
  return null;
}

/** Parabola of gas volume over s by least squares, near the last points of a stretch. */
function parabola(s: readonly number[], points: readonly Point[]): (s: number) => number {
  const n = s.length;
  const centre = s[n - 1]!;
  const scale = Math.max(centre - s[0]!, 1e-9);
  const sums = [0, 0, 0, 0, 0];
  const right = [0, 0, 0];
  for (let i = 0; i < n; i++) {
    const x = (s[i]! - centre) / scale;
    for (let k = 0; k < 5; k++) sums[k]! += x ** k;
    for (let k = 0; k < 3; k++) right[k]! += x ** k * points[i]!.volume;
  }
  const [a, b, c] = solve3(sums, right);
  return (at) => {
    const x = (at - centre) / scale;
    return a + b * x + c * x * x;
  };
}

/** Normal equations of a parabola, by Cramer's rule. */
function solve3(sums: number[], right: number[]): [number, number, number] {
  const [s0, s1, s2, s3, s4] = sums as [number, number, number, number, number];
  const [r0, r1, r2] = right as [number, number, number];
  const det = (m: number[]): number =>
    m[0]! * (m[4]! * m[8]! - m[5]! * m[7]!) -
    m[1]! * (m[3]! * m[8]! - m[5]! * m[6]!) +
    m[2]! * (m[3]! * m[7]! - m[4]! * m[6]!);
  const all = det([s0, s1, s2, s1, s2, s3, s2, s3, s4]);
  return [
    det([r0, s1, s2, r1, s2, s3, r2, s3, s4]) / all,
    det([s0, r0, s2, s1, r1, s3, s2, r2, s4]) / all,
    det([s0, s1, r0, s1, s2, r1, s2, s3, r2]) / all,
  ];
}

/** What the sensor reads with no water in the pipes, once it stands. */
function zeroOf(down: readonly Point[], gauge: (p: Point) => number, emptyS: number): Found[] {
  const still = down.filter((p) => p.timeS > emptyS + 60).map(gauge);
  if (still.length < 5) return [];
  const mean = still.reduce((sum, v) => sum + v, 0) / still.length;
  const spread = Math.max(...still) - Math.min(...still);
  if (spread > PSI_PA) return [];
  return [{ what: ZERO, value: mean, std: TAP_HEIGHT_PA, unit: 'Pa' }];
}

const ZERO = 'reading of the drained pipes';

function weighZero(found: readonly Found[]): Bearing[] {
  const zero = found.find(({ what }) => what === ZERO);
  if (zero === undefined) return [];
  const own = Math.hypot(TAP_HEIGHT_PA, SENSOR_STD_PA);
  const sound = normal(zero.value, 0, own);
  return bearings(
    [
      ['pressure-drift', normal(zero.value, 0, Math.hypot(own, DRIFTED_STD_PA))],
      ['switch-drift', sound],
    ],
    sound,
  );
}

function weighPipesOnly(): Bearing[] {
  return bearings(
    [
      ['tank-isolated', 1],
      ['tank-waterlogged', 0.05],
      ['precharge-low', 0.005],
      ['precharge-high', 0.05],
    ],
    0.002,
  );
}

/** Tank constant by the volume drained, where it was measured: a bucket test of the whole tank. */
function constantOf(job: Job, down: readonly Point[], kneePa: number): Found[] {
  const { volumeM3, volumeM3Std } = job.test.measured;
  if (volumeM3 === undefined || volumeM3Std === undefined) return [];
  const change = 1 / kneePa - down[0]!.volume;
  const value = volumeM3 / change;
  const rel = Math.hypot(volumeM3Std / volumeM3, PIPE_SHARE, (0.5 * PSI_PA) / kneePa);
  return [{ what: 'tank constant', value, std: value * rel, unit: 'Pa m3' }];
}

/** What the pipes gave after the tank, over what the tank gave. */
const PIPE_SHARE = 0.03;
