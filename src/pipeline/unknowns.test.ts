import { describe, expect, it } from 'vitest';
import { type RehearsedLog, studied, wellOf } from '../../test/support/rehearsed-log.ts';

const T0 = 1_775_433_600;
const DAY_S = 86_400;

/** Two days of a current alone: five minutes on in every fifty; it begins on or off. */
function currentAlone(fromS: number): Pick<RehearsedLog, 'timeS' | 'channel' | 'value'> {
  const timeS: number[] = [];
  const value: number[] = [];
  for (let s = fromS; s < 2 * DAY_S; s += 5) {
    timeS.push(T0 + s);
    value.push(s % 3000 < 300 ? 8 + 0.01 * Math.sin(s) : 0.03);
  }
  return { timeS, channel: timeS.map(() => 1), value };
}

describe('a log of current alone', () => {
  const well = wellOf('name = "Alder barn"\n[tank]\nvolume = "44 gal"\nprecharge = "38 psi"\n');
  const studyOf = (fromS: number) => studied({ ...currentAlone(fromS), well } as RehearsedLog);

  it('says nothing of loss, and why', () => {
    const study = studyOf(600);
    expect(study.days.map(({ lossM3, lossM3Std }) => [lossM3, lossM3Std])).toEqual([
      [null, null],
      [null, null],
    ]);
    const loss = study.unknown.filter(({ field }) => field === 'days.lossM3');
    expect(loss.map(({ because }) => because)).toEqual([
      'on some of the days no pressure was seen with the pump at rest',
    ]);
  });

  it('knows the current of every run, also of one that was on when the log began', () => {
    // Of its first run there are none, all and one of the readings left.
    for (const fromS of [600, 0, 295]) {
      const { runs, unknown } = studyOf(fromS);
      for (const run of runs) expect(run.meanCurrentA).toBeCloseTo(8, 1);
      expect(unknown.filter(({ field }) => field === 'runs.meanCurrentA')).toEqual([]);
      expect(runs[0]!.begun).toBe(fromS === 600 ? 'cut-in' : 'log-start');
    }
  });
});
