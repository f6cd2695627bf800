import { describe, expect, it } from 'vitest';
import { feed, rehearsedLog } from '../../test/support/rehearsed-log.ts';
import { Pipeline } from './pipeline.ts';
import { studyOf } from './result.ts';

describe('a run whose stop is followed by an open pressure wire', () => {
  const log = rehearsedLog({ letter: 'C', days: 1, seed: 143 });
  const { stop } = log.truth.runs[3]!;
  const stopS = Date.parse(stop!) / 1000;
  // From ten seconds after the stop on, pressure lies below anything that the sensor can say.
  const value = log.value.map((v, i) =>
    log.channel[i] === 0 && log.timeS[i]! > stopS + 10 ? -1e5 : v,
  );
  const studyAt = (afterStopS: number) => {
    const pipeline = new Pipeline(log.well);
    const end = log.timeS.findIndex((t) => t > stopS + afterStopS);
    feed(pipeline, { ...log, value }, 0, end);
    return studyOf(pipeline, { setAside: [], told: [] });
  };

  it('is in the study a quarter of an hour later, with its water', () => {
    const study = studyAt(900);
    expect(study.runs.length).toBe(4);
    expect(study.runs[3]!.pumpedM3).toBeGreaterThan(0.01);
    const pumped = study.runs.reduce((sum, run) => sum + run.pumpedM3!, 0);
    expect(study.days[0]!.pumpedM3!).toBeCloseTo(pumped, 6);
  });

  it('still waits for the rest after it at first', () => {
    expect(studyAt(60).runs.length).toBe(3);
  });
});
