import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Pipeline } from '../../src/pipeline/pipeline.ts';
import { studyOf } from '../../src/pipeline/result.ts';
import { feed, type RehearsedLog, rehearsedLog, studied } from '../support/rehearsed-log.ts';

const nothing = { setAside: [], told: [] };

/** The study of a log that was interrupted: saved and restored after each of the cuts. */
function interrupted(log: RehearsedLog, cuts: number[]): string {
  let pipeline = new Pipeline(log.well);
  let from = 0;
  for (const cut of [...cuts].sort((a, b) => a - b)) {
    feed(pipeline, log, from, cut);
    pipeline = new Pipeline(log.well, pipeline.snapshot());
    from = cut;
  }
  feed(pipeline, log, from, log.timeS.length);
  pipeline.end();
  return JSON.stringify(studyOf(pipeline, nothing));
}

describe('a log in pieces', () => {
  const logs: [string, RehearsedLog][] = [
    [
      'of a sound well with a messy log',
      rehearsedLog({ letter: 'B', days: 3, seed: 11, messy: true, bucketDays: [1] }),
    ],
    [
      'of a leaking check valve',
      rehearsedLog({
        letter: 'C',
        days: 3,
        seed: 12,
        faults: [{ name: 'check-valve-leak', onsetDay: 1, severity: 1 }],
      }),
    ],
    [
      'of a device that reports on change',
      rehearsedLog({ letter: 'A', days: 3, seed: 13, policy: 'on-change' }),
    ],
    [
      'of a well that runs dry',
      rehearsedLog({
        letter: 'C',
        days: 3,
        seed: 14,
        faults: [{ name: 'running-dry', onsetDay: 1, severity: 1 }],
      }),
    ],
  ];

  it.each(logs)('%s gives the same study, bit for bit', (_name, log) => {
    const whole = JSON.stringify(studied(log));
    expect(JSON.parse(whole).runs.length).toBeGreaterThan(10);
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: log.timeS.length }), { minLength: 1, maxLength: 4 }),
        (cuts) => interrupted(log, cuts) === whole,
      ),
      { numRuns: 4, seed: 5 },
    );
  });

  it('tells at a moment only what that moment knew', () => {
    const log = rehearsedLog({
      letter: 'C',
      days: 5,
      seed: 21,
      faults: [{ name: 'switch-welded', onsetDay: 2, severity: 1 }],
    });
    const whole = studied(log);
    const cut = Math.floor(log.timeS.length * 0.7);
    const pipeline = new Pipeline(log.well);
    feed(pipeline, log, 0, cut);
    const early = studyOf(pipeline, nothing);
    const raised = (study: typeof whole, before: string) =>
      study.findings
        .filter((f) => f.raised <= before)
        .map(({ fault, since, raised: at }) => ({ fault, since, at }));
    const horizon = new Date((log.timeS[cut]! - 600) * 1000).toISOString();
    expect(raised(whole, horizon).length).toBeGreaterThan(0);
    expect(raised(early, horizon)).toEqual(raised(whole, horizon));
    const ended = early.runs.filter((run) => run.stop !== null && run.stop < horizon);
    expect(ended.length).toBeGreaterThan(10);
    const starts = (study: typeof whole) =>
      study.runs
        .slice(0, ended.length)
        .map(({ start, stop, ended: how }) => ({ start, stop, how }));
    expect(starts(early)).toEqual(starts(whole));
  });

  it('grows by less than 100 bytes a run and a draw', () => {
    const log = logs[1]![1];
    const pipeline = new Pipeline(log.well);
    feed(pipeline, log, 0, log.timeS.length);
    pipeline.end();
    const { runs, drawTable } = pipeline.estimation.state;
    expect(runs.rows).toBeGreaterThan(20);
    expect(drawTable.rows).toBeGreaterThan(20);
    const bytes = (table: typeof runs) => 8 * table.doubleWidth + 4 * table.singleWidth;
    // A table grows by half when it is full, so a row may hold half another in reserve.
    expect(1.5 * bytes(runs)).toBeLessThanOrEqual(100);
    expect(1.5 * bytes(drawTable)).toBeLessThanOrEqual(100);
  });
});
