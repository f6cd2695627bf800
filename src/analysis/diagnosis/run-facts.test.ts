import { expect, it } from 'vitest';
import { createRunFacts, stepRunFacts } from './run-facts.ts';

/** Amps of a run, a reading a second. */
function factsOf(amps: readonly number[]) {
  const facts = createRunFacts(0, 280_000);
  amps.forEach((currentA, timeS) => {
    const pressure = { gaugePa: 300_000 + 1000 * timeS, x: 0, volume: 0, expectedPerMin: 1 };
    stepRunFacts(facts, { timeS, currentA, ampsTold: true, ...pressure });
  });
  return facts;
}

const steady = (seconds: number) => Array.from({ length: seconds }, () => 10);

it('amps that are broken between two readings leap, wherever in the run', () => {
  expect(factsOf([...steady(20), 4, ...steady(20)]).leap).toBeCloseTo(0.6, 9);
});

it('neither the start nor the stop of a run is a leap', () => {
  expect(factsOf([48, 22, 11, ...steady(20), 5]).leap).toBe(0);
});
