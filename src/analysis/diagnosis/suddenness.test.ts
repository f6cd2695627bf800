import { describe, expect, it } from 'vitest';
import { MEASURES, type Sample } from './measures.ts';
import { createSteps, followSteps, suddenness } from './suddenness.ts';

const sample = (delivery: number): Sample => ({
  ...(Object.fromEntries(MEASURES.map((m) => [m, NaN])) as Sample),
  delivery,
});

/** Follows runs of these deliveries as the diagnosis does: the last twenty are at hand. */
function stepsOf(deliveries: readonly number[]) {
  const steps = createSteps();
  const recent: Sample[] = [];
  for (const delivery of deliveries) {
    recent.push(sample(delivery));
    if (recent.length > 20) recent.shift();
    followSteps(steps, recent);
  }
  return steps;
}

const line = (runs: number, of: (k: number) => number) =>
  Array.from({ length: runs }, (_, k) => of(k));
const FALLEN = { delivery: { value: -0.3, std: 0.02 } };

describe('a change', () => {
  it('that came from one run to the next is sudden, and stays so for a hundred runs', () => {
    const runs = [...line(20, () => 0), ...line(100, () => -0.3)];
    expect(suddenness(stepsOf(runs), FALLEN)!.value).toBeCloseTo(1, 9);
  });

  it('that came over a hundred runs is not', () => {
    const runs = [...line(20, () => 0), ...line(100, (k) => -0.003 * (k + 1))];
    const { value } = suddenness(stepsOf(runs), FALLEN)!;
    // Middles of four runs and of the eight before lie six runs apart.
    expect(value).toBeCloseTo((6 * 0.003) / 0.3, 9);
  });

  it('that went the other way before is judged by its own way only', () => {
    const runs = [...line(20, () => 0), ...line(20, () => 0.3), ...line(60, () => 0)];
    expect(suddenness(stepsOf(runs), { delivery: { value: 0.3, std: 0.02 } })!.value).toBeCloseTo(
      1,
    );
    expect(suddenness(stepsOf(runs), { delivery: { value: -0.6, std: 0.02 } })!.value).toBeCloseTo(
      0.5,
    );
  });

  it('that is not clear is not asked about', () => {
    const steps = stepsOf(line(30, () => 0));
    expect(suddenness(steps, { delivery: { value: 0.05, std: 0.02 } })).toBeUndefined();
    expect(suddenness(steps, {})).toBeUndefined();
  });

  it('is that of the clearest measure', () => {
    const steps = stepsOf([...line(20, () => 0), ...line(20, () => -0.3)]);
    const both = { ...FALLEN, amps: { value: 0.5, std: 0.01 } };
    expect(suddenness(steps, both)!.value).toBe(0);
  });
});
