/** Lengths of the stretches that readings are asked in, s: each holds whole ones of the last. */
export const LEVELS_S = [1, 5, 30, 120, 600, 3600, 21_600, 86_400, 604_800] as const;
/** Stretches asked for at once. */
export const TILE_STRETCHES = 512;
/** A span up to this is drawn from the raw readings, s. */
export const RAW_SPAN_S = 1800;
/** Raw readings asked for at once cover this, s. */
export const RAW_TILE_S = 900;

/** One piece of a channel's record. */
export interface Stretch {
  fromS: number;
  toS: number;
  least: number;
  greatest: number;
  mean: number;
}

/** The finest level at which a span needs no more stretches than there are pixels. */
export function levelFor(spanS: number, pixels: number): number {
  const fits = LEVELS_S.findIndex((lengthS) => spanS / lengthS <= pixels);
  return fits < 0 ? LEVELS_S.length - 1 : fits;
}

/** Numbers of the tiles of a length that a span touches. */
export function tilesOf(fromS: number, toS: number, tileS: number): number[] {
  const first = Math.floor(fromS / tileS);
  const last = Math.ceil(toS / tileS);
  return Array.from({ length: Math.max(0, last - first) }, (_, i) => first + i);
}

/** Spans of time in which nothing came for longer than is usual: holes in the record. */
export function gapsOf(
  stretches: readonly Stretch[],
  fromS: number,
  toS: number,
  usualS: number,
): [fromS: number, toS: number][] {
  const gaps: [number, number][] = [];
  let heardS = fromS;
  for (const one of stretches) {
    if (one.fromS - heardS > usualS) gaps.push([heardS, one.fromS]);
    heardS = Math.max(heardS, one.toS);
  }
  if (toS - heardS > usualS) gaps.push([heardS, toS]);
  return gaps;
}

/** How many holes a paper of several pens has: those that lie beside one another are one. */
export function holesIn(pens: readonly (readonly [fromS: number, toS: number][])[]): number {
  let [count, endS] = [0, Number.NEGATIVE_INFINITY];
  for (const [fromS, toS] of pens.flat().toSorted((a, b) => a[0] - b[0])) {
    if (fromS >= endS) count += 1;
    endS = Math.max(endS, toS);
  }
  return count;
}
