import { expect, it } from 'vitest';
import { FAULT_WORDS } from '../report/words.ts';
import { FAULT_NAMES, FAULTS } from './faults.ts';

it('names each fault once, in kebab case', () => {
  expect(FAULT_NAMES).toHaveLength(54);
  expect(new Set(FAULT_NAMES).size).toBe(54);
  for (const name of FAULT_NAMES) expect(name).toMatch(/^[a-z]+(-[a-z]+)*$/);
});

it('has an entry and words for each name, and no other', () => {
  expect(Object.keys(FAULTS)).toEqual([...FAULT_NAMES]);
  expect(Object.keys(FAULT_WORDS).toSorted()).toEqual(FAULT_NAMES.toSorted());
  expect(new Set(Object.values(FAULT_WORDS)).size).toBe(FAULT_NAMES.length);
});

it('lets nothing look like itself', () => {
  for (const name of FAULT_NAMES) {
    const { lookAlikes, urgency } = FAULTS[name];
    expect(lookAlikes).not.toContain(name);
    expect(new Set(lookAlikes).size).toBe(lookAlikes.length);
    expect(urgency.length).toBeGreaterThan(0);
  }
});

// Spot rows of the catalogue, written out again by hand.
it.each([
  ['leak-house', ['F07'], ['weeks', 'days'], 3],
  ['running-dry', ['F14b'], ['now'], 2],
  ['pump-worn', ['F18'], ['weeks'], 3],
  ['check-valve-leak', ['F10'], ['days'], 2],
  ['voltage-high', ['F34'], ['days'], 1],
  ['pressure-port-plugged', ['S5', 'S23'], ['days'], 0],
  ['data-gap', ['S14'], ['note', 'days'], 1],
] as const)('%s stands as catalogued', (name, catalogue, urgency, lookAlikes) => {
  expect(FAULTS[name].catalogue).toEqual(catalogue);
  expect(FAULTS[name].urgency).toEqual(urgency);
  expect(FAULTS[name].lookAlikes).toHaveLength(lookAlikes);
});
