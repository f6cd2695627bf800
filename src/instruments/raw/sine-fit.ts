import { solveSymmetric } from './solve.ts';

/** A sine found in samples: value = offset + amplitude cos(2 pi f t + phase). */
export interface FittedSine {
  amplitude: number;
  offset: number;
  phaseRad: number;
  frequencyHz: number;
  /** Root of the mean square of what the sine leaves over. */
  residualRms: number;
}

/**
 * Sine of known frequency by least squares in three parameters (cosine, sine, offset).
 * `samples` [any], evenly spaced by `intervalS` [s]; `frequencyHz` [Hz]. Returns amplitude,
 * offset and residual in the unit of the samples. NaN with fewer than three samples, or where the
 * samples cannot tell the three apart. Source: IEEE 1057, three-parameter fit (from memory).
 */
export function fitSine(
  samples: ArrayLike<number>,
  intervalS: number,
  frequencyHz: number,
): FittedSine {
  const step = 2 * Math.PI * frequencyHz * intervalS;
  const rows = Array.from(samples, (_, i) => [Math.cos(step * i), Math.sin(step * i), 1]);
  const [a, b, offset] = leastSquares(rows, samples);
  return sineOf({ a: a!, b: b!, offset: offset! }, { samples, intervalS, frequencyHz });
}

const MOST_ROUNDS = 30;

/**
 * The same with the frequency found as a fourth parameter, from a first guess within a few
 * percent: each round adds the slope by frequency to the fit and corrects the frequency by its
 * coefficient. NaN where it does not settle. Source: IEEE 1057, four-parameter fit (from memory).
 */
export function fitSineOfUnknownFrequency(
  samples: ArrayLike<number>,
  intervalS: number,
  guessHz: number,
): FittedSine {
  let frequencyHz = guessHz;
  let { a, b } = partsOf(fitSine(samples, intervalS, guessHz));
  const lengthS = samples.length * intervalS;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const step = 2 * Math.PI * frequencyHz * intervalS;
    // Of one size with the other columns.
    const scale = lengthS * Math.hypot(a, b);
    const rows = Array.from(samples, (_, i) => {
      const [cos, sin] = [Math.cos(step * i), Math.sin(step * i)];
      return [cos, sin, 1, (i * intervalS * (b * cos - a * sin)) / scale];
    });
    const found = leastSquares(rows, samples);
    a = found[0]!;
    b = found[1]!;
    const correctionHz = found[3]! / scale / (2 * Math.PI);
    frequencyHz += correctionHz;
    if (!(frequencyHz > 0)) break;
    if (Math.abs(correctionHz) < 1e-12 * frequencyHz) {
      return fitSine(samples, intervalS, frequencyHz);
    }
  }
  const none = { amplitude: Number.NaN, offset: Number.NaN, phaseRad: Number.NaN };
  return { ...none, frequencyHz: Number.NaN, residualRms: Number.NaN };
}

const partsOf = ({ amplitude, phaseRad }: FittedSine) => ({
  a: amplitude * Math.cos(phaseRad),
  b: -amplitude * Math.sin(phaseRad),
});

function sineOf(
  { a, b, offset }: { a: number; b: number; offset: number },
  of: { samples: ArrayLike<number>; intervalS: number; frequencyHz: number },
): FittedSine {
  const step = 2 * Math.PI * of.frequencyHz * of.intervalS;
  let square = 0;
  for (let i = 0; i < of.samples.length; i++) {
    const rest = of.samples[i]! - offset - a * Math.cos(step * i) - b * Math.sin(step * i);
    square += rest * rest;
  }
  return {
    amplitude: Math.hypot(a, b),
    offset,
    phaseRad: Math.atan2(-b, a),
    frequencyHz: of.frequencyHz,
    residualRms: Math.sqrt(square / of.samples.length),
  };
}

/** Coefficients of the columns of `rows` that come nearest to `values`. */
function leastSquares(rows: readonly number[][], values: ArrayLike<number>): number[] {
  const width = rows[0]?.length ?? 3;
  const matrix = Array.from({ length: width }, () => new Array<number>(width).fill(0));
  const right = new Array<number>(width).fill(0);
  for (const [i, row] of rows.entries()) {
    for (let j = 0; j < width; j++) {
      right[j]! += row[j]! * values[i]!;
      for (let k = 0; k < width; k++) matrix[j]![k]! += row[j]! * row[k]!;
    }
  }
  return solveSymmetric(matrix, right);
}
