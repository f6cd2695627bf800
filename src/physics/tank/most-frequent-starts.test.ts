import { expect, it } from 'vitest';
import { mostFrequentStartsPerS } from './most-frequent-starts.ts';

it('is what the worst of all steady demands brings about, and no more', () => {
  const flowM3PerS = 6.3e-4;
  const drawdownM3 = 0.043;
  const startsPerS = (demand: number) =>
    1 / (drawdownM3 / demand + drawdownM3 / (flowM3PerS - demand));
  const tried = Array.from({ length: 999 }, (_, i) => startsPerS((flowM3PerS * (i + 1)) / 1000));
  expect(Math.max(...tried)).toBeCloseTo(mostFrequentStartsPerS({ flowM3PerS, drawdownM3 }), 12);
});
