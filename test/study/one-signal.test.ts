import { describe, expect, it } from 'vitest';
import type { FaultSpec } from '../../src/simulation/faults/faults.ts';
import { type RehearsedLog, rehearsedLog, studied } from '../support/rehearsed-log.ts';

const PRESSURE = 0;
const CURRENT = 1;
const HOUR = 3600;
const DAY = 86_400;

const log = (days: number, fault: FaultSpec): RehearsedLog =>
  rehearsedLog({ letter: 'G', days, seed: 1903, faults: [{ growthDays: 0, ...fault }] });

/** The log with some of its readings, or with others in their place. */
function without(
  full: RehearsedLog,
  value: (channel: number, timeS: number, value: number) => number | null,
): RehearsedLog {
  const kept = full.timeS
    .map((timeS, i) => [timeS, full.channel[i]!, value(full.channel[i]!, timeS, full.value[i]!)])
    .filter((row): row is [number, number, number] => row[2] !== null);
  return {
    ...full,
    timeS: kept.map(([timeS]) => timeS),
    channel: kept.map(([, channel]) => channel),
    value: kept.map(([, , reading]) => reading),
  };
}

const LEAKS = ['leak-house', 'check-valve-leak', 'leak-before-house-valve', 'fixture-running'];
const leaksOf = (of: RehearsedLog) =>
  studied(of).findings.filter(({ fault }) => LEAKS.includes(fault));

describe('a leak is told', () => {
  const full = log(13, { name: 'leak-house', onsetDay: 9, severity: 1 });
  it('where no amps were ever read', () => {
    const leaks = leaksOf(without(full, (channel, _, v) => (channel === PRESSURE ? v : null)));
    expect(leaks).toHaveLength(1);
    expect(leaks[0]!.evidence[0]!.says).toContain('water lost at rest');
  });
  it('while the current stands still', () => {
    const stuckS = full.timeS[0]! + 8.5 * DAY;
    const stood = without(full, (channel, timeS, v) =>
      channel === CURRENT && timeS >= stuckS ? 0.05 : v,
    );
    const { findings } = studied(stood);
    const stuck = findings.find(({ fault }) => fault === 'adc-stuck')!;
    expect(stuck.cleared).toBeNull();
    expect(stuck.instead.map(({ fault }) => fault)).not.toContain('pressure-port-plugged');
    expect(leaksOf(stood)).toHaveLength(1);
  });
});

describe('a clamp that comes off its wire', () => {
  it('is told, and no run before it speaks for those after it', () => {
    const { findings } = studied(log(14, { name: 'current-clamp-off', onsetDay: 9 }));
    expect(findings.map(({ fault }) => fault)).toEqual(['current-clamp-off']);
  });
});

// Handbook A6: an hour of steady demand asks for a look.
describe('a pipe that bursts', () => {
  it('is told within two minutes of its first hour as heavy use or a burst pipe', () => {
    const burst = log(10, { name: 'leak-burst', onsetDay: 9.5, severity: 1 });
    const onsetS = burst.timeS[0]! + 9.5 * DAY;
    const { findings } = studied(burst);
    const first = findings.find(({ raised }) => Date.parse(raised) / 1000 >= onsetS)!;
    const named = [first, ...first.instead].map(({ fault }) => fault);
    expect(named).toContain('leak-burst');
    expect(Date.parse(first.raised) / 1000 - onsetS).toBeLessThan(HOUR + 120);
  });
});
