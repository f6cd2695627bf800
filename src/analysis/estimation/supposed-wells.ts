/** A well as it may be. */
export interface Supposed {
  /** Inflow per drawdown. */
  capacityM2PerS: number;
  /** Area that the level falls in: the casing's, and what the ground round it stores. */
  areaM2: number;
  /** How seldom such a well is, as the square of standard deviations. */
  odd: number;
}

const M2PS_PER_GPM_PER_FT = 6.30901964e-5 / 0.3048;
/** Specific capacities of house wells, 0.02 to 20 gpm/ft, for wells that are casings. */
const CASING_CAPACITIES = Array.from({ length: 16 }, (_, k) => 0.02 * 1.6 ** k);
/** Any: 0.002 to 20 gpm/ft, and storage over the casing's. */
const CAPACITIES = Array.from({ length: 13 }, (_, k) => 0.002 * 10 ** (k / 3));
const STORAGES = [0.85, 1.6, 3, 6, 12];

/**
 * Storage over that of the casing of the file: a little less, or more by what gravel round it and
 * rock near it give. Seven published tests of boreholes lie at 0.9 to 14.
 */
const STORAGE_LOG_STD = { below: 0.15, above: 1.2 };
/** Rock wells: median about 0.4 gpm/ft (from memory); the seven spread by a factor of six. */
const USUAL_CAPACITY_M2_PER_S = 0.4 * M2PS_PER_GPM_PER_FT;
const CAPACITY_LOG_STD = Math.log(6);

/** How seldom a well of such a capacity and of such a storage over its casing's is. */
export function oddOfWell(capacityM2PerS: number, storage: number, casingRelStd = 0): number {
  const { below, above } = STORAGE_LOG_STD;
  const log = Math.log(storage);
  const usual = Math.log(capacityM2PerS / USUAL_CAPACITY_M2_PER_S) / CAPACITY_LOG_STD;
  return (log / Math.hypot(log < 0 ? below : above, casingRelStd)) ** 2 + usual ** 2;
}

/** Wells that are their casing and no more, all alike likely: enough for what a run pumps. */
export const casingWells = (casingAreaM2: number): Supposed[] =>
  CASING_CAPACITIES.map((gpmPerFt) => ({
    capacityM2PerS: gpmPerFt * M2PS_PER_GPM_PER_FT,
    areaM2: casingAreaM2,
    odd: 0,
  }));

/** Wells of any capacity and storage, each as likely as it is often met. */
export const anyWells = (casingAreaM2: number, casingRelStd: number): Supposed[] =>
  CAPACITIES.flatMap((gpmPerFt) =>
    STORAGES.map((storage) => {
      const capacityM2PerS = gpmPerFt * M2PS_PER_GPM_PER_FT;
      const odd = oddOfWell(capacityM2PerS, storage, casingRelStd);
      return { capacityM2PerS, areaM2: casingAreaM2 * storage, odd };
    }),
  );
