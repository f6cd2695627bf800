import { describe, expect, it } from 'vitest';
import type { Study } from '../../src/model/study.ts';
import { Pipeline } from '../../src/pipeline/pipeline.ts';
import { studyOf } from '../../src/pipeline/result.ts';
import { studyText } from '../../src/report/study-text.ts';
import { figureOf, lnOf, logOf, only } from '../support/owner-tests.ts';
import { type Asked, feed, studied } from '../support/rehearsed-log.ts';

// The keeper's tests on rehearsed wells, with the fault that each should find and with another.

describe('tests of pump and well', () => {
  const LIFT: NonNullable<Asked['tests']> = [
    ['throttle_test', 2.2],
    ['fill_test', 3.5],
    ['throttle_test', 3.6],
    ['sounding', 4.2],
    ['recovery_test', 4.23],
  ];
  it('part a choke from a level that fell', () => {
    const choked = studied(logOf('B', 36, LIFT, 'valve-part-shut'));
    const fallen = studied(logOf('B', 36, LIFT, 'static-level-falling'));
    const sweep = (study: Study) => study.tests.filter(({ test }) => test === 'throttle')[1]!;
    expect(lnOf(sweep(choked), 'valve-part-shut')).toBe(0);
    expect(lnOf(sweep(choked), 'static-level-falling')).toBeLessThan(-0.7);
    expect(lnOf(only(choked, 'sounding'), 'static-level-falling')).toBeLessThan(-1);
    expect(lnOf(only(fallen, 'sounding'), 'static-level-falling')).toBe(0);
    expect(lnOf(only(fallen, 'sounding'), 'pump-worn')).toBeLessThan(-1.5);
    // Delivery was still being learnt when the level fell: the baseline holds a part of it.
    expect(figureOf(only(fallen, 'fill'), 'delivery over').value).toBeLessThan(0.97);
    expect(only(fallen, 'recovery').unusable).toBeNull();
  });
});

describe('a log with every test', () => {
  const log = logOf('C', 37, [
    ['throttle_test', 2.2],
    ['isolation_test', 2.6],
    ['precharge_test', 2.75],
    ['drain_test', 3.4],
    ['fill_test', 3.6],
    ['recovery_test', 4.23],
    ['sounding', 4.2],
  ]);
  const nothing = { setAside: [], told: [] };
  it('gives the same study however it is cut, bit for bit', () => {
    const whole = JSON.stringify(studied(log));
    let pipeline = new Pipeline(log.well);
    let from = 0;
    for (let cut = 7001; from < log.timeS.length; cut += 9973) {
      const to = Math.min(cut, log.timeS.length);
      feed(pipeline, log, from, to);
      pipeline = new Pipeline(log.well, pipeline.snapshot());
      from = to;
    }
    pipeline.end();
    expect(JSON.stringify(studyOf(pipeline, nothing))).toBe(whole);
    expect(JSON.parse(whole).tests).toHaveLength(7);
  });
  it('tells of each test that is not in the log why it says nothing', () => {
    const later = log.well.otherTests.map((test) => ({
      ...test,
      startS: test.startS + 9e6,
      stopS: test.stopS + 9e6,
    }));
    const study = studied(log, { ...log.well, otherTests: later });
    for (const entry of study.tests.filter(({ test }) =>
      /isolation|drain|fill|recovery/.test(test),
    ))
      expect(entry.unusable, entry.test).toContain('the log has no pressure');
    const text = studyText(study, log.well);
    expect(text).toContain('Not usable: ');
  });
});
