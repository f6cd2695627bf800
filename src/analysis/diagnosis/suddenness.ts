import { together } from './baseline.ts';
import type { Sample } from './measures.ts';
import type { Deviation, Deviations } from './odds.ts';

/** Measures of which it tells something whether they moved at once or over weeks. */
const PACED = ['delivery', 'amps'] as const;

/** The greatest step so far of each, up and down, between a few runs and those before them. */
export type Steps = Record<(typeof PACED)[number], { up: number; down: number }>;

export const createSteps = (): Steps => ({
  delivery: { up: 0, down: 0 },
  amps: { up: 0, down: 0 },
});

const LATE = 4;
const EARLY = 8;

/** Takes the samples of the last runs after each run. */
export function followSteps(steps: Steps, recent: readonly Sample[]): void {
  for (const measure of PACED) {
    const values = recent.map((one) => one[measure]).filter((value) => !Number.isNaN(value));
    if (values.length < LATE + EARLY || Number.isNaN(recent.at(-1)![measure])) continue;
    const late = together(values.slice(-LATE), 'middle');
    const step = late - together(values.slice(-LATE - EARLY, -LATE), 'middle');
    steps[measure].up = Math.max(steps[measure].up, step);
    steps[measure].down = Math.min(steps[measure].down, step);
  }
}

/** A change is asked about from so many of its errors on. */
const CLEAR = 3;
const STD = 0.15;

/**
 * Share of a change that came within a few runs: near 1 where something was shut, swapped or
 * broke, small where it wears, clogs or falls over weeks. Of the clearest change; none without one.
 */
export function suddenness(steps: Steps, seen: Deviations): Deviation | undefined {
  const clearness = (d: Deviation | undefined): number => (d ? Math.abs(d.value) / d.std : 0);
  const [first] = PACED.toSorted((a, b) => clearness(seen[b]) - clearness(seen[a]));
  const change = seen[first!];
  if (change === undefined || clearness(change) < CLEAR) return undefined;
  const { up, down } = steps[first!];
  const share = (change.value > 0 ? up : down) / change.value;
  return { value: Math.min(share, 1.3), std: Math.hypot(STD, 1 / clearness(change)) };
}
