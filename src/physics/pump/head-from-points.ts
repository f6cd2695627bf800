interface Point {
  flowM3PerS: number;
  headM: number;
}

/**
 * Head on a maker's curve given by points, without a bump between them: monotone cubic pieces,
 * straight where there are two points only.
 * @param flowM3PerS [m3/s], within the points
 * @param points at least two, flow rising strictly, head never rising [m3/s, m]
 * @returns [m of water]; NaN outside the points or where they are not a pump curve
 * Reference: [fritsch-butland-1984], slopes by weighted harmonic mean; three-point ends of
 * [moler-2004], section 3.6.
 */
export function headFromPointsM(flowM3PerS: number, points: readonly Point[]): number {
  const right = points.findIndex((point, i) => i > 0 && flowM3PerS <= point.flowM3PerS);
  const from = points[right - 1];
  const to = points[right];
  if (from === undefined || to === undefined || !(flowM3PerS >= from.flowM3PerS)) return Number.NaN;
  if (!isPumpCurve(points)) return Number.NaN;
  const width = to.flowM3PerS - from.flowM3PerS;
  const t = (flowM3PerS - from.flowM3PerS) / width;
  const startRise = width * slopeAt(points, right - 1);
  const endRise = width * slopeAt(points, right);
  const rise = to.headM - from.headM;
  const bend = t * (1 - t) * (startRise * (1 - t) - endRise * t);
  return from.headM + rise * t * t * (3 - 2 * t) + bend;
}

const isPumpCurve = (points: readonly Point[]) =>
  points.every((point, i) => {
    const before = points[i - 1];
    if (before === undefined) return true;
    return point.flowM3PerS > before.flowM3PerS && point.headM <= before.headM;
  });

/** Width and slope of the piece that begins at a point. */
function pieceAt(points: readonly Point[], index: number): { width: number; slope: number } | null {
  const from = points[index];
  const to = points[index + 1];
  if (from === undefined || to === undefined) return null;
  const width = to.flowM3PerS - from.flowM3PerS;
  return { width, slope: (to.headM - from.headM) / width };
}

function slopeAt(points: readonly Point[], index: number): number {
  const before = pieceAt(points, index - 1);
  const after = pieceAt(points, index);
  if (before === null) return endSlope(after, pieceAt(points, index + 1));
  if (after === null) return endSlope(before, pieceAt(points, index - 2));
  if (before.slope * after.slope <= 0) return 0;
  const weightBefore = 2 * after.width + before.width;
  const weightAfter = after.width + 2 * before.width;
  const inverse = weightBefore / before.slope + weightAfter / after.slope;
  return (weightBefore + weightAfter) / inverse;
}

type Piece = { width: number; slope: number } | null;

function endSlope(outer: Piece, inner: Piece): number {
  if (outer === null) return Number.NaN;
  if (inner === null) return outer.slope;
  const total = outer.width + inner.width;
  const slope = ((2 * outer.width + inner.width) * outer.slope - outer.width * inner.slope) / total;
  return slope * outer.slope <= 0 ? 0 : slope;
}
