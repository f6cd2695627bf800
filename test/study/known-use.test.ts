import { describe, expect, it } from 'vitest';
import { rehearsedLog, studied, wellOf } from '../support/rehearsed-log.ts';

describe('hours of heavy use', () => {
  const log = rehearsedLog({
    letter: 'I',
    days: 11,
    seed: 2408,
    faults: [{ name: 'heavy-use', onsetDay: 8, severity: 1, growthDays: 0 }],
  });

  it('are told once the pump has run for hours', () => {
    const told = studied(log).findings.filter(({ fault }) => fault === 'heavy-use');
    expect(told.length).toBe(1);
    expect(told[0]!.urgency).toBe('note');
  });

  it('are no trouble where the keeper has written them down', () => {
    const toml = `${log.toml}\n[[known_use]]\nwhat = "filling the pond"\n`;
    expect(studied(log, wellOf(toml)).findings).toEqual([]);
  });
});
