/**
 * White noise of a channel from second differences, which a steady slope leaves at zero: the
 * median of |x1 - 2 x2 + x3| over sqrt(6) x 0.6745, followed by a sign step that draws use,
 * pump starts and stops hardly move. Readings further apart than the usual interval are left out.
 */
export interface Noise {
  std: number;
  /** Below this a channel that repeats its digits would seem noiseless. */
  floor: number;
  previous: number;
  beforePrevious: number;
  previousS: number;
  stepS: number;
  count: number;
}

export function createNoise(startStd: number): Noise {
  return {
    std: startStd,
    floor: startStd / 50,
    previous: NaN,
    beforePrevious: NaN,
    previousS: NaN,
    stepS: NaN,
    count: 0,
  };
}

const MEDIAN_TO_STD = 1 / (0.6745 * Math.sqrt(6));

/** Takes one value at a time [s]. */
export function stepNoise(noise: Noise, timeS: number, value: number): void {
  const stepS = timeS - noise.previousS;
  if (Math.abs(stepS - noise.stepS) < 0.2 * stepS) {
    const second = Math.abs(value - 2 * noise.previous + noise.beforePrevious) * MEDIAN_TO_STD;
    noise.count += 1;
    const gain = Math.max(0.004, 1 / (noise.count + 4));
    // The median of second/std is 1 where std is right: move towards it, in proportion.
    noise.std = Math.max(noise.std * (second > noise.std ? 1 + gain : 1 - gain), noise.floor);
  }
  noise.stepS = stepS;
  noise.beforePrevious = noise.previous;
  noise.previous = value;
  noise.previousS = timeS;
}
