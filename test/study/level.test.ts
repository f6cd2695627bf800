import { describe, expect, it } from 'vitest';
import { GatheredLog } from '../../bench/support/gathered-log.ts';
import type { Study } from '../../src/model/study.ts';
import { rehearsedLog, studied } from '../support/rehearsed-log.ts';
import published from './published-recovery.json' with { type: 'json' };
import { lawOf, logOf, type Published, tomlOf } from './published-wells.ts';

/**
 * What usual days tell of the boreholes of published-recovery.json (levels published, see
 * published-recovery.test.ts): depth of the day, time of recovery, specific capacity.
 */
function studyOf(test: Published, rows: string[]): Study {
  const log = new GatheredLog();
  for (const row of rows) {
    const [timeS, psi, amps] = row.split(',').map(Number);
    log.pressure(timeS!, psi!);
    log.current(timeS!, amps!);
  }
  return log.study(tomlOf(test));
}

const holds = (value: number, std: number, truth: number): boolean =>
  Math.abs(value - truth) < 1.96 * std;

const boreholes = published.tests.map((test) => {
  const { rows, deepestM } = logOf(test);
  return { on: test.on, law: lawOf(test), deepestM, study: studyOf(test, rows) };
});

describe('usual days on published boreholes', () => {
  it('tell the level drop of every day within its interval, in six of seven at least', () => {
    const held = boreholes.filter(({ study, deepestM }) =>
      study.days.every(({ levelDropM, levelDropMStd }, k) =>
        holds(levelDropM!, levelDropMStd!, deepestM[k]!),
      ),
    );
    expect(held.length).toBeGreaterThanOrEqual(6);
  });

  it('tell time of recovery within its interval, or that it is not known', () => {
    const told = boreholes.filter(({ study }) => study.recovery.recoveryS !== null);
    const held = told.filter(({ study: { recovery }, law }) =>
      holds(recovery.recoveryS!, recovery.recoverySStd!, law.tauS),
    );
    expect(told.length).toBeGreaterThanOrEqual(3);
    expect(told.length - held.length).toBeLessThanOrEqual(1);
    for (const { study } of boreholes) {
      const unknown = study.unknown.find(({ field }) => field === 'recovery.recoveryS');
      if (study.recovery.recoveryS === null) expect(unknown?.test).toBe('recovery');
      else expect(unknown).toBeUndefined();
    }
  });

  it('tell no specific capacity that is not so', () => {
    for (const { study, law, on } of boreholes) {
      const { specificCapacityM2PerS: value, specificCapacityM2PerSStd: std } = study.recovery;
      if (value !== null) expect(holds(value, std!, law.capacity), `${on} ${value}`).toBe(true);
    }
  });

  it('tell the slow and deep one of 22 December as slow and deep', () => {
    const { study } = boreholes.find(({ on }) => on === '2020-12-22')!;
    expect(study.recovery.recoveryS! / 60).toBeGreaterThan(60);
    // Its deepest is 35.7 m, under a hose; the days before stand at a third of that.
    expect(Math.max(...study.days.map((day) => day.levelDropM!))).toBeGreaterThan(12);
  });
});

describe('level of a well of which the runs tell nothing', () => {
  it('is not known on days without pressure, and a recovery test is named', () => {
    const log = rehearsedLog({ letter: 'B', days: 12, seed: 41, restS: 1 });
    const fromS = log.timeS[0]! + 8 * 86_400;
    const kept = log.timeS.map((timeS, k) => timeS < fromS || log.channel[k] !== 0);
    const pick = (values: number[]) => values.filter((_, k) => kept[k]);
    const { days, recovery, unknown } = studied({
      ...log,
      timeS: pick(log.timeS),
      channel: pick(log.channel),
      value: pick(log.value),
    });
    expect(days[4]!.levelDropM).not.toBeNull();
    for (const day of days.slice(9)) expect(day.levelDropM).toBeNull();
    expect(recovery.recoveryS).toBeNull();
    for (const field of ['days.levelDropM', 'recovery.recoveryS'])
      expect(unknown.find((entry) => entry.field === field)?.test).toBe('recovery');
  });

  it.each(['D', 'I'])('is no slow well of %s whose tank lost its air', (letter) => {
    const faults = [{ name: 'tank-waterlogged' as const, onsetDay: 5, severity: 1 }];
    const { recovery } = studied(rehearsedLog({ letter, days: 12, seed: 331, faults }));
    expect(recovery.recoveryS).toBeNull();
  });
});
