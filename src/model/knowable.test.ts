import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { FAULT_NAMES, FAULTS } from './faults.ts';
import { KNOWABLE, knowable, needInWords } from './knowable.ts';

const two = {
  channels: ['pressure', 'current'] as const,
  runIntervalS: 1,
  restIntervalS: 5,
  baselineDays: 30,
  test: null,
};

/** The rows of the table in the docs, as they should stand. */
const rows = Object.entries(KNOWABLE).map(([fault, { first, pair }]) => [
  `\`${fault}\``,
  first.map(needInWords).join('; or ') || 'no way',
  pair
    .map(({ need, group }) => `${needInWords(need)}: ${group.map((f) => `\`${f}\``).join(', ')}`)
    .join('; or '),
]);

describe('what can be known', () => {
  it('stands in the docs as it does in the code', () => {
    const text = readFileSync(new URL('../../docs/knowable.md', import.meta.url), 'utf8');
    const told = text
      .split('\n')
      .filter((line) => line.startsWith('| `'))
      .map((line) =>
        line
          .slice(1, -1)
          .split('|')
          .map((cell) => cell.trim()),
      );
    expect(told).toEqual(rows);
  });

  it('has a row for every fault but the unknown, and look-alikes that are faults', () => {
    expect(Object.keys(KNOWABLE).toSorted()).toEqual(
      FAULT_NAMES.filter((name) => name !== 'unknown-trouble').toSorted(),
    );
    for (const { pair } of Object.values(KNOWABLE))
      for (const { group } of pair) for (const name of group) expect(FAULTS).toHaveProperty(name);
  });

  it('depends on channels, history and tests', () => {
    expect(knowable('rotor-locked', two).level).toBe('pair');
    expect(knowable('start-circuit-weak', two).level).toBe('not-judgeable');
    const withStart = { ...two, channels: [...two.channels, 'start-time' as const] };
    expect(knowable('start-circuit-weak', withStart).level).not.toBe('not-judgeable');
    expect(knowable('pump-worn', { ...two, baselineDays: 0 }).level).toBe('not-judgeable');
    expect(knowable('pump-worn', two).level).toBe('pair');
    expect(knowable('check-valve-leak', { ...two, test: 'isolation' }).group).toEqual([
      'leak-before-house-valve',
    ]);
    expect(knowable('voltage-low', two).says).toMatch(/mains|voltage/);
  });
});
