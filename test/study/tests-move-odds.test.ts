import { describe, expect, it } from 'vitest';
import type { Study } from '../../src/model/study.ts';
import { Pipeline } from '../../src/pipeline/pipeline.ts';
import { studyOf } from '../../src/pipeline/result.ts';
import type { RehearsedFault } from '../../src/simulation/faults/faults.ts';
import { type Asked, feed, rehearsedLog, studied } from '../support/rehearsed-log.ts';

// Rehearsed wells with a fault from the seventh day on, and a test on the tenth.

const wellWith = (
  letter: string,
  seed: number,
  fault: RehearsedFault,
  severity: number,
  tests: NonNullable<Asked['tests']>,
) =>
  rehearsedLog({
    letter,
    seed,
    days: 11,
    bucketDays: [1],
    tests,
    faults: [{ name: fault, onsetDay: 7, growthDays: 0, severity }],
  });
const withoutTests = (log: ReturnType<typeof wellWith>): Study =>
  studied(log, { ...log.well, otherTests: [] });
const beliefIn = (study: Study, fault: string): number => {
  const finding = study.findings.find(({ cleared }) => cleared === null)!;
  const all = [{ fault: finding.fault, probability: finding.probability }, ...finding.instead];
  return all.find((one) => one.fault === fault)?.probability ?? 0;
};

describe('a leak', () => {
  const log = wellWith('C', 41, 'leak-before-house-valve', 0.3, [['isolation_test', 9.6]]);
  const study = studied(log);
  it('that was put in the house is put before its valve by an isolation test', () => {
    expect(study.findings.map(({ history }) => history.map(({ fault }) => fault))).toEqual([
      ['leak-house', 'leak-before-house-valve'],
    ]);
    expect(beliefIn(study, 'leak-before-house-valve')).toBeGreaterThan(0.55);
    expect(beliefIn(withoutTests(log), 'leak-before-house-valve')).toBeLessThan(0.5);
    expect(study.findings[0]!.evidence.at(-1)!.says).toContain('isolation test');
  });
  it('is told with what moved it how far, and with what still looks the same', () => {
    const { evidence, alike } = study.findings[0]!;
    const [loss, test] = [evidence[0]!.moves!, evidence.at(-1)!.moves!];
    expect(loss.fault).toBe('leak-house');
    expect(['check-valve-leak', 'leak-before-house-valve', 'fixture-running']).toContain(
      loss.rival,
    );
    expect(loss.logOverSound).toBeGreaterThan(3);
    // At rest a leak has no place.
    expect(Math.abs(loss.logOverRival!)).toBeLessThan(1);
    // Nor does the house valve part what lies before it.
    expect(test).toMatchObject({ fault: 'leak-before-house-valve', rival: 'check-valve-leak' });
    expect(Math.abs(test.logOverRival!)).toBeLessThan(1.5);
    expect(alike!.faults).toEqual(['check-valve-leak']);
    const said = study.unknown.filter(({ field }) => field === 'findings');
    expect(said.map(({ because }) => because)).toContain(
      "the start circuit can't be judged from these channels: it takes the channel start-time",
    );
  });
  it('is told the same by a pipeline that was stopped again and again', () => {
    let pipeline = new Pipeline(log.well);
    for (let from = 0; from < log.timeS.length; from += 40_009) {
      feed(pipeline, log, from, Math.min(from + 40_009, log.timeS.length));
      pipeline = new Pipeline(log.well, pipeline.snapshot());
    }
    pipeline.end();
    const pieces = studyOf(pipeline, { setAside: [], told: [] });
    expect(JSON.stringify(pieces)).toBe(JSON.stringify(study));
  });
  it('says nothing of the test before its readings are in', () => {
    const atS = Date.parse(study.tests[0]!.start) / 1000;
    const to = log.timeS.findIndex((timeS) => timeS > atS + 1500);
    const pipeline = new Pipeline(log.well);
    feed(pipeline, log, 0, to);
    const now = studyOf(pipeline, { setAside: [], told: [] });
    expect(now.findings.map(({ fault }) => fault)).toEqual(['leak-house']);
    expect(now.findings[0]!.evidence.every(({ says }) => !says.includes('test'))).toBe(true);
  });
  it('of the house that a test saw before the log did stays in the house', () => {
    const house = wellWith('C', 41, 'leak-house', 0.3, [['isolation_test', 9.6]]);
    const told = studied(house);
    expect(told.findings.map(({ fault }) => fault)).toEqual(['leak-house']);
    const before = beliefIn(withoutTests(house), 'leak-house');
    expect(beliefIn(told, 'leak-house')).toBeGreaterThan(Math.max(before, 0.8));
  });
});

describe('a level that fell', () => {
  it('is told from a worn pump by a sounding', () => {
    const log = wellWith('B', 36, 'static-level-falling', 1, [['sounding', 9.2]]);
    const belief = beliefIn(studied(log), 'static-level-falling');
    expect(belief).toBeGreaterThan(0.7);
    expect(beliefIn(withoutTests(log), 'static-level-falling')).toBeLessThan(belief - 0.2);
  });
});

describe('a test with the breaker off', () => {
  it('is no want of water', () => {
    const log = rehearsedLog({
      letter: 'K',
      seed: 35,
      days: 5,
      tests: [
        ['precharge_test', 3.4],
        ['drain_test', 3.6],
      ],
    });
    expect(studied(log).findings).toEqual([]);
    expect(withoutTests(log).findings.map(({ fault }) => fault)).toEqual(['switch-no-start']);
  });
});
