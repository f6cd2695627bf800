/**
 * Running amps over tee pressure, learnt from plain runs: amps = a0 + a1 x. A submersible pump's
 * amps fall as pressure rises (common practice). Old runs fade with a half-life of about fifty.
 */
export interface AmpsCurve {
  /** Sums of the run in hand. */
  run: AmpsSums;
  /** Sums of runs taken in. */
  all: AmpsSums;
  a0: number;
  a1: number;
  runs: number;
}

interface AmpsSums {
  n: number;
  x: number;
  xx: number;
  a: number;
  xa: number;
  aa: number;
}

const KEEP = 0.986;

const noSums = (): AmpsSums => ({ n: 0, x: 0, xx: 0, a: 0, xa: 0, aa: 0 });

export function createAmpsCurve(): AmpsCurve {
  return { run: noSums(), all: noSums(), a0: NaN, a1: 0, runs: 0 };
}

export function addAmps(curve: AmpsCurve, x: number, currentA: number): void {
  const { run } = curve;
  run.n += 1;
  run.x += x;
  run.xx += x * x;
  run.a += currentA;
  run.xa += x * currentA;
  run.aa += currentA * currentA;
}

/** The run is over: it teaches if it was a plain one. */
export function closeAmpsRun(curve: AmpsCurve, plain: boolean): void {
  const { run, all } = curve;
  curve.run = noSums();
  if (!plain || run.n < 5) return;
  const scale = 1 / run.n;
  for (const key of ['n', 'x', 'xx', 'a', 'xa', 'aa'] as const)
    all[key] = KEEP * all[key] + scale * run[key];
  const det = all.n * all.xx - all.x * all.x;
  // A band too narrow to tell a slope leaves amps level.
  curve.a1 = det > 0.02 * all.n * all.n ? (all.n * all.xa - all.x * all.a) / det : 0;
  curve.a0 = (all.a - curve.a1 * all.x) / all.n;
  curve.runs += 1;
}

/** Amps expected at x; NaN until three runs have been learnt. */
export function expectedAmps(curve: AmpsCurve, x: number): number {
  return curve.runs < 3 ? NaN : curve.a0 + curve.a1 * x;
}

/** How far the amps of a moment lie from the curve, standard deviation [A]. */
export function ampsScatter(curve: AmpsCurve): number {
  const { all, a0, a1 } = curve;
  const variance = (all.aa - a0 * all.a - a1 * all.xa) / all.n;
  return Math.sqrt(Math.max(variance, (0.002 * a0) ** 2));
}
