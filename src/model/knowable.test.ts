import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { FAULT_NAMES, FAULTS } from './faults.ts';
import { type AtHand, KNOWABLE, knowable, needInWords } from './knowable.ts';

const judged = FAULT_NAMES.filter((name) => name !== 'unknown-trouble');
const two: AtHand = {
  channels: ['pressure', 'current'],
  runIntervalS: 1,
  restIntervalS: 1,
  atSetTimes: true,
  baselineDays: 30,
  test: null,
};
const all: AtHand = {
  ...two,
  runIntervalS: 0.2,
  restIntervalS: 0.2,
  channels: ['pressure', 'current', 'current-peak', 'start-time', 'mains', 'air-temperature'],
};

describe('what can be known', () => {
  it('stands there for each fault, in the order of the catalogue', () => {
    expect(Object.keys(KNOWABLE)).toEqual(judged);
  });
  it('from two signals leaves open what the catalogue of faults says looks the same', () => {
    let pairs = 0;
    for (const fault of judged) {
      const { level, group } = knowable(fault, two);
      if (level !== 'pair') continue;
      pairs++;
      expect([...group].toSorted(), fault).toEqual([...FAULTS[fault].lookAlikes].toSorted());
    }
    expect(pairs).toBeGreaterThan(20);
  });
  it('is nothing without readings, and something with everything', () => {
    for (const fault of judged) {
      expect(knowable(fault, { ...all, channels: [] }).level, fault).toBe('not-judgeable');
      expect(knowable(fault, all).level, fault).not.toBe('not-judgeable');
    }
  });
  it('never needs less to be named first than to be named in a group', () => {
    for (const fault of judged)
      for (const baselineDays of [0, 7, 400])
        for (const test of [null, 'isolation', 'sounding', 'look'] as const) {
          const less = knowable(fault, { ...two, baselineDays, test: null });
          const more = knowable(fault, { ...all, baselineDays, test });
          const rank = { 'not-judgeable': 0, pair: 1, first: 2 };
          expect(rank[more.level], `${fault} ${test}`).toBeGreaterThanOrEqual(rank[less.level]);
        }
  });
  it('of the start circuit, voltage and joints asks for their channels', () => {
    expect(knowable('start-circuit-weak', two)).toMatchObject({
      level: 'not-judgeable',
      missing: ['start-time'],
      says:
        "The start circuit can't be judged from these channels: it takes the channel " +
        'start-time.',
    });
    expect(knowable('voltage-low', two).missing).toEqual(['mains']);
    expect(knowable('start-circuit-weak', all).level).toBe('first');
    expect(knowable('voltage-low', all).level).toBe('first');
  });
  it('of leaks is told apart in part by the isolation test', () => {
    expect(knowable('leak-house', two).group).toHaveLength(3);
    expect(knowable('leak-house', { ...two, test: 'isolation' }).group).toEqual([
      'fixture-running',
    ]);
    expect(knowable('leak-house', two).says).toBe(
      'A leak in the house looks the same from here as a check valve that leaks back, a leak ' +
        'before the house valve or a fixture that runs on; to tell more takes an isolation test.',
    );
  });
  it('of wear waits for a baseline', () => {
    const says = "A worn pump can't be judged yet: it takes 7 days of sound running.";
    expect(knowable('pump-worn', { ...two, baselineDays: 3 }).says).toBe(says);
  });
  it('of what is fast asks for the reading rate', () => {
    const slow = { ...two, runIntervalS: 5 };
    expect(knowable('gas-in-water', slow).missing).toEqual([
      'a reading every second while the pump runs',
    ]);
  });
});

describe('docs/knowable.md', () => {
  const code = (names: readonly string[]) => names.map((name) => `\`${name}\``).join(', ');
  const wanted = judged.map((fault) => {
    const { what, from, first, pair } = KNOWABLE[fault];
    const groups = pair.map(({ need, group }) => `${code(group)} (${needInWords(need)})`);
    return [
      `\`${fault}\``,
      what,
      from ?? 'any',
      first.map(needInWords).join('; or ') || 'never',
      groups.join('; ') || 'none',
    ];
  });
  it('prints the table as it stands in the code, both ways', () => {
    const text = readFileSync(new URL('../../docs/knowable.md', import.meta.url), 'utf8');
    const printed = [...text.matchAll(/^\| (`[a-z-]+`) +\|(.*)\|$/gm)].map(
      ([, name, rest = '']) => [name, ...rest.split(' | ').map((cell) => cell.trim())],
    );
    expect(printed).toEqual(wanted);
  });
});
