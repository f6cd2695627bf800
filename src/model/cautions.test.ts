import { expect, it } from 'vitest';
import { ACT_CAUTIONS, CAUTIONS } from './cautions.ts';
import { OWNER_TESTS } from './owner-tests.ts';

// The ids every part of the project agrees on.
const IDS = [
  'mains-by-electrician',
  'breaker-off-and-tested',
  'breaker-reset-once',
  'transformer-secondary-closed',
  'tank-drained-power-off',
  'heater-off-before-draining',
  'relief-works-first',
  'never-close-off-a-running-pump',
  'never-plug-relief',
  'tank-rating',
  'breaker-back-on',
  'potable-fittings',
  'disinfect-and-sample',
  'stay-out-of-pits',
  'flood-stay-away',
  'gas-ignition',
  'thaw-gently',
  'hose-backflow',
  'generator-outdoors',
  'advisory-only',
];

it('has a text for each id and no other', () => {
  expect(Object.keys(CAUTIONS).toSorted()).toEqual(IDS.toSorted());
  for (const text of Object.values(CAUTIONS)) {
    expect(text.length).toBeGreaterThan(60);
    expect(text).toMatch(/\.$/);
  }
});

it('gives every act its cautions, each once, and every caution an act', () => {
  const carried = Object.values(ACT_CAUTIONS);
  expect(carried.length).toBeGreaterThan(20);
  for (const ids of carried) {
    expect(ids.length).toBeGreaterThan(0);
    expect(new Set(ids).size).toBe(ids.length);
    for (const id of ids) expect(IDS).toContain(id);
  }
  expect([...new Set(carried.flat())].toSorted()).toEqual(IDS.toSorted());
});

it('covers every test that can be asked for', () => {
  for (const test of Object.keys(OWNER_TESTS)) expect(Object.keys(ACT_CAUTIONS)).toContain(test);
});

it('never lets a test that shuts water in go without the relief valve', () => {
  for (const act of ['isolation', 'fill', 'throttle', 'close-house-valve'] as const) {
    expect(ACT_CAUTIONS[act]).toContain('relief-works-first');
    expect(ACT_CAUTIONS[act]).toContain('never-close-off-a-running-pump');
  }
});
