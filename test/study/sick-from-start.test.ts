import { describe, expect, it } from 'vitest';
import type { RehearsedFault } from '../../src/simulation/faults/faults.ts';
import { type Asked, rehearsedLog, studied, wellOf } from '../support/rehearsed-log.ts';

const sick = (name: RehearsedFault, asked: Asked, mendedDay?: number) =>
  studied(
    rehearsedLog({
      ...asked,
      faults: [{ name, onsetDay: 0, growthDays: 0, severity: 1, ...(mendedDay && { mendedDay }) }],
    }),
  );

describe('a well that is sick from its first reading', () => {
  it('is judged by nameplate and physics within days, as sick since the log began', () => {
    const { findings, span } = sick('tank-waterlogged', { letter: 'B', days: 2, seed: 1801 });
    const tank = findings.find(({ fault }) => fault === 'tank-waterlogged')!;
    expect(tank).toMatchObject({ since: span.from, cleared: null });
    expect(tank.probability).toBeGreaterThan(0.5);
    expect(tank.evidence.some(({ says }) => says.startsWith('since the log began'))).toBe(true);
  });

  it('has a baseline that is known to be of a sick well, and once mended learns anew', () => {
    const asked = { letter: 'B', seed: 1801 };
    const untouched = sick('tank-waterlogged', { ...asked, days: 7.5 });
    expect(untouched.told.join(' ')).toContain('learnt while something was wrong');
    const mended = sick('tank-waterlogged', { ...asked, days: 7 }, 4);
    const tank = mended.findings.filter(({ fault }) => fault === 'tank-waterlogged');
    expect(tank.length).toBe(1);
    expect(Date.parse(tank[0]!.cleared!)).toBeGreaterThan(
      Date.parse(mended.span.from) + 4 * 86_400e3,
    );
    expect(mended.told.join(' ')).not.toContain('learnt while something was wrong');
  });

  it('with a stalled motor is told within minutes of its first start', () => {
    const { findings, runs } = sick('rotor-locked', { letter: 'F', days: 0.04, seed: 1736 });
    const stalled = findings.find(({ fault }) => fault === 'rotor-locked')!;
    expect(stalled.urgency).toBe('now');
    expect(Date.parse(stalled.raised) - Date.parse(runs[0]!.start)).toBeLessThan(60e3);
  });
});

describe('a sound well', () => {
  it.each(['A', 'G'])('%s has nothing told of its first days', (letter) => {
    const study = studied(rehearsedLog({ letter, days: 3, seed: 1900 }));
    expect(study.findings).toEqual([]);
    expect(study.told.join(' ')).not.toContain('something was wrong');
  });
});

describe('a switch set otherwise than the file says', () => {
  it('is taken as it is found, once five runs agree', () => {
    const log = rehearsedLog({ letter: 'B', days: 2, seed: 1900 });
    const said = log.toml.replace('"40 psi"', '"32 psi"').replace('"60 psi"', '"66 psi"');
    expect(said).not.toBe(log.toml);
    const { runs } = studied(log, wellOf(said));
    const later = runs.slice(5).filter(({ stop }) => stop !== null);
    expect(later.length).toBeGreaterThan(5);
    for (const run of later) expect(run).toMatchObject({ begun: 'cut-in', ended: 'cut-out' });
  });
});
