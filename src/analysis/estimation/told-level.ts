import { type Drawdown, wellOdds, xPerMetre } from './drawdown.ts';

/** The wells supposed are few, and a real well is not one tank. */
const FORM_REL_STD = 0.2;
/** What the edges of all runs may have wrong in common, as a share of delivery. */
const COMMON_ERROR = 0.01;
/** Drawdown is not told better than this, m. */
const LEAST_STD_M = 0.1;
const SIDES_95 = 1.96;
/** What runs have told of a well, in nats, below which that is no more than of any well. */
const TOLD_NATS = 0.5;
/** Edges that scatter so much more than they say, as squares, show something else than the well. */
const MOST_SCATTER = 4;

export interface Told {
  value: number;
  std: number;
}

/** Specific capacity [m2/s] and its standard uncertainty. */
export const specificCapacity = (well: Drawdown): Told =>
  over(
    well,
    well.supposed.map(({ capacityM2PerS }) => capacityM2PerS),
  );

/** Time in which the level recovers by two thirds [s], and its standard uncertainty. */
export const recoveryTime = (well: Drawdown): Told =>
  over(
    well,
    well.supposed.map(({ areaM2, capacityM2PerS }) => areaM2 / capacityM2PerS),
  );

/**
 * Drawdown of which each well supposes so much [m], and its standard uncertainty. Delivery tells
 * it, by its slope over pressure (of the nameplate, relative to delivery, over half the band).
 */
export function toldDrawdown(
  well: Drawdown,
  levelM: number[],
  delivery: { slope: number; halfBandPa: number },
): Told {
  const { value, std } = over(well, levelM);
  const commonM = COMMON_ERROR / Math.abs(delivery.slope * xPerMetre(delivery.halfBandPa));
  return { value, std: Math.hypot(std, commonM, LEAST_STD_M) };
}

/** Whether runs tell this well from any well: how far its odds are from those beforehand. */
export function isWellTold(well: Drawdown): boolean {
  if (Math.max(...well.scatter) > MOST_SCATTER) return false;
  const before = wellOdds({ ...well, cost: well.cost.map(() => 0) });
  const nats = wellOdds(well).reduce(
    (sum, odds, j) => sum + (odds > 0 ? odds * Math.log(odds / before[j]!) : 0),
    0,
  );
  return nats > TOLD_NATS;
}

/**
 * Mean over the odds of a value for each well. Odds are often lopsided, so the uncertainty is
 * what takes the 95 % interval to the farther end of theirs.
 */
function over(well: Drawdown, values: number[]): Told {
  const odds = wellOdds(well);
  const value = odds.reduce((sum, w, j) => sum + w * values[j]!, 0);
  const order = values.map((_, j) => j).sort((a, b) => values[a]! - values[b]!);
  const endOf = (share: number): number => {
    let sum = 0;
    const end = order.find((j) => {
      sum += odds[j]!;
      return sum >= share;
    });
    return values[end ?? order.at(-1)!]!;
  };
  const spread = Math.max(endOf(0.975) - value, value - endOf(0.025)) / SIDES_95;
  return { value, std: Math.hypot(spread, Math.hypot(FORM_REL_STD, well.casingRelStd) * value) };
}
