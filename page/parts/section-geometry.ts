/** A level with its standard uncertainty, m below ground. */
export interface Level {
  m: number;
  std: number;
}

/** Depths that the drawing is made of, m below ground; null where not known. */
export interface Depths {
  staticLevel: Level | null;
  pumpingLevel: Level | null;
  intakeM: number | null;
}

export interface SectionScale {
  /** Pixel of a depth, from the top of the drawing. */
  yOf(depthM: number): number;
  /** Deepest depth drawn, m. */
  deepestM: number;
  /** Whether depths are to scale: something is known of them. */
  toScale: boolean;
}

/** What is drawn below the deepest thing known, as a share of it. */
const BELOW = 0.14;
/** Depth of a drawing of which nothing is known. */
const UNKNOWN_M = 60;

/** Depths to pixels: ground at `groundY`, the deepest thing known a little above `bottomY`. */
export function sectionScale(depths: Depths, groundY: number, bottomY: number): SectionScale {
  const known = [
    depths.intakeM,
    depths.staticLevel === null ? null : depths.staticLevel.m + 2 * depths.staticLevel.std,
    depths.pumpingLevel === null ? null : depths.pumpingLevel.m + 2 * depths.pumpingLevel.std,
  ].filter((one): one is number => one !== null && one > 0);
  const toScale = known.length > 0;
  const deepestM = toScale ? Math.max(...known) * (1 + BELOW) : UNKNOWN_M;
  const pxPerM = (bottomY - groundY) / deepestM;
  return { deepestM, toScale, yOf: (depthM) => groundY + depthM * pxPerM };
}

/** The 95 % band of a level, kept within the drawing. */
export function bandOf({ m, std }: Level, deepestM: number): [topM: number, bottomM: number] {
  return [Math.max(0, m - 2 * std), Math.min(deepestM, m + 2 * std)];
}

/**
 * Moves labels apart so that none covers another: in order from the top, each at least `apart`
 * below the last, and all above `bottom`.
 */
export function spread(wanted: readonly number[], apart: number, bottom: number): number[] {
  const order = wanted.map((_, i) => i).toSorted((a, b) => wanted[a]! - wanted[b]!);
  const at = [...wanted];
  let least = Number.NEGATIVE_INFINITY;
  for (const i of order) {
    at[i] = Math.max(at[i]!, least);
    least = at[i]! + apart;
  }
  let most = bottom;
  for (const i of order.toReversed()) {
    at[i] = Math.min(at[i]!, most);
    most = at[i]! - apart;
  }
  return at;
}

/** Volumes of a tank at a pressure, by the gas law; null where its constant is not known. */
export function tankFill(
  tankConstantPaM3: number | null,
  tankVolumeM3: number | null,
  pressurePaAbs: number | null,
): { airM3: number; waterM3: number; waterShare: number } | null {
  if (tankConstantPaM3 === null || tankVolumeM3 === null || pressurePaAbs === null) return null;
  if (!(pressurePaAbs > 0)) return null;
  const airM3 = Math.min(tankVolumeM3, tankConstantPaM3 / pressurePaAbs);
  const waterM3 = tankVolumeM3 - airM3;
  return { airM3, waterM3, waterShare: waterM3 / tankVolumeM3 };
}
