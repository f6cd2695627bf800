/**
 * Kalman filter of what a run's edges show, for one supposed specific capacity: delivery and its
 * slope and bend over tee pressure, and what start and stop have wrong in common. A metre of
 * drawdown takes as much delivery as its weight in tee pressure does, so the drawdown that this
 * capacity supposes is added to the pressure; how well the edges then agree speaks for or against
 * it. Errors that all runs share are parameters of their own: they do not average out.
 */
export interface LevelFilter {
  /** Delivery, slope, bend, offset of starts, and warmth of the gas at starts and at stops. */
  mean: number[];
  /** Covariance, row by row. */
  covariance: number[];
}

const PARAMETERS = 6;

/** What the nameplates say of delivery over x, relative to its middle. */
export interface Curve {
  slope: number;
  bend: number;
}

/** A pump that is not what its nameplate says: half the slope, and more where that is flat. */
const SLOPE_REL_STD = 0.5;
const SLOPE_STD = 0.05;
const BEND_STD = 0.02;
/** Delivery at the first edge, against what it is. */
const FIRST_STD = 0.3;
/** What all starts have wrong against stops: a tap just opened hides part of the delivery. */
const START_STD = 0.05;
/** What gas that is still warm from the edge before has wrong. */
const WARM_STD = 0.03;
/** How far delivery wanders from run to run, and its slope. */
const WANDER = 0.002;
const SLOPE_WANDER = 0.0005;
/** Delivery scatters by this from run to run, at the least (line voltage, common practice). */
const SCATTER = 0.012;
/** At starts it does so the more, for a start is mostly somebody's opening a tap. */
const START_SCATTER = 0.03;
/** Degrees of freedom of Student's t: somebody opened a tap just then. */
const FREEDOM = 4;

export function createLevelFilter(curve: Curve): LevelFilter {
  const stds = [
    FIRST_STD,
    Math.hypot(SLOPE_REL_STD * curve.slope, SLOPE_STD),
    BEND_STD,
    START_STD,
    WARM_STD,
    WARM_STD,
  ];
  const covariance = new Array<number>(PARAMETERS ** 2).fill(0);
  for (const [k, std] of stds.entries()) covariance[k * PARAMETERS + k] = std ** 2;
  return { mean: [1, curve.slope, curve.bend, 0, 0, 0], covariance };
}

export function wanderLevelFilter({ covariance }: LevelFilter): void {
  covariance[0]! += WANDER ** 2;
  covariance[PARAMETERS + 1]! += SLOPE_WANDER ** 2;
}

export interface LevelSight {
  /** Delivery over its unit, its relative standard error. */
  delivery: number;
  std: number;
  /** Tee pressure as x, drawdown added. */
  x: number;
  atStop: boolean;
  /** Share of the gas's warmth left from the edge before. */
  warmth: number;
}

/**
 * Takes an edge in. Returns what it costs, twice the negative logarithm of its likelihood, and the
 * square of its standardised surprise.
 */
export function learnLevelFilter(
  filter: LevelFilter,
  sight: LevelSight,
  scatter: number,
): { cost: number; square: number } {
  const { mean, covariance } = filter;
  const { x, atStop, warmth } = sight;
  const row = [1, x, x * x, atStop ? 0 : 1, atStop ? 0 : warmth, atStop ? warmth : 0];
  const gain = row.map((_, a) =>
    row.reduce((sum, h, b) => sum + covariance[a * PARAMETERS + b]! * h, 0),
  );
  const believed = row.reduce((sum, h, a) => sum + h * gain[a]!, 0);
  const off = sight.delivery - row.reduce((sum, h, a) => sum + h * mean[a]!, 0);
  const own = (scatter * Math.hypot(sight.std, atStop ? SCATTER : START_SCATTER)) ** 2;
  const variance = believed + own;
  const square = off ** 2 / variance;
  const trusted = believed + (own * (FREEDOM + square)) / (FREEDOM + 1);
  for (let a = 0; a < PARAMETERS; a++) {
    mean[a]! += (gain[a]! * off) / trusted;
    for (let b = 0; b < PARAMETERS; b++)
      covariance[a * PARAMETERS + b]! -= (gain[a]! * gain[b]!) / trusted;
  }
  const cost = Math.log(variance) + (FREEDOM + 1) * Math.log(1 + square / FREEDOM);
  return { cost, square };
}
