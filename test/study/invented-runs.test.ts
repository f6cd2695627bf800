import { describe, expect, it } from 'vitest';
import type { Study } from '../../src/model/study.ts';
import type { RehearsedFault } from '../../src/simulation/faults/faults.ts';
import { type RehearsedLog, rehearsedLog, studied } from '../support/rehearsed-log.ts';

const SLACK_S = 2;

interface Span {
  startS: number;
  stopS: number;
}

function sick(name: RehearsedFault, letter: string, seed: number, restS = 5): RehearsedLog {
  const faults = [{ name, onsetDay: 1.2, growthDays: 0, severity: 1 }];
  return rehearsedLog({ letter, days: 3, seed, restS, faults });
}

const told = (study: Study): Span[] =>
  study.runs.map(({ start, stop }) => ({
    startS: Date.parse(start) / 1000,
    stopS: Date.parse(stop ?? study.span.to) / 1000,
  }));

const real = (log: RehearsedLog): Span[] =>
  log.truth.runs.map(({ start, stop }) => ({
    startS: Date.parse(start) / 1000,
    stopS: Date.parse(stop ?? log.truth.runs.at(-1)!.start) / 1000,
  }));

const meet = (a: Span, b: Span, slackS = SLACK_S): boolean =>
  Math.min(a.stopS, b.stopS) - Math.max(a.startS, b.startS) > -slackS;

const without = (spans: Span[], others: Span[], slackS = SLACK_S): Span[] =>
  spans.filter((span) => !others.some((other) => meet(span, other, slackS)));

describe('while the current is sound and has shown the last runs', () => {
  it.each<[RehearsedFault, string, number, number]>([
    ['water-hammer', 'L', 139, 5],
    ['pressure-port-plugged', 'H', 147, 1],
    ['tank-isolated', 'E', 104, 1],
  ])('%s makes no run of a pressure that springs back', (fault, letter, seed, restS) => {
    const log = sick(fault, letter, seed, restS);
    const study = studied(log);
    expect(without(told(study), real(log))).toEqual([]);
    expect(study.findings.map((finding) => finding.fault)).not.toContain('current-clamp-off');
  });

  it('a signal that springs to the top with the pump off is a short, not a run', () => {
    const log = sick('pressure-wire-short', 'D', 143);
    const study = studied(log);
    expect(without(told(study), real(log))).toEqual([]);
    expect(study.findings.map((finding) => finding.fault)).toEqual(['pressure-wire-short']);
  });

  it.each<[string, number, number]>([
    ['C', 150, 5],
    ['E', 151, 1],
    ['B', 152, 15],
  ])('a clamp that comes off is told and no run is lost (%s)', (letter, seed, restS) => {
    const log = sick('current-clamp-off', letter, seed, restS);
    const study = studied(log);
    expect(without(real(log), told(study))).toEqual([]);
    expect(without(told(study), real(log))).toEqual([]);
    expect(study.runs.filter(({ foundBy }) => foundBy === 'pressure').length).toBeGreaterThan(8);
    expect(study.findings.map((finding) => finding.fault)).toEqual(['current-clamp-off']);
  });
});

describe('a sound well that reports at a fixed interval', () => {
  /** Two runs between two readings cannot be told apart, and a short one may go unseen. */
  const apart = (log: RehearsedLog, stepS: number): Span[] => {
    const spans = real(log);
    return spans.filter(
      ({ startS, stopS }, i) =>
        stopS - startS > stepS &&
        startS - (spans[i - 1]?.stopS ?? -Infinity) > 2 * stepS &&
        (spans[i + 1]?.startS ?? Infinity) - stopS > 2 * stepS,
    );
  };

  it.each<[number, string, number]>([
    [0.5, 'C', 1],
    [1, 'C', 1],
    [5, 'C', 2],
    [15, 'CK', 3],
    [30, 'ACEK', 3],
    [60, 'ACEK', 3],
  ])('has each run once in the book, at %d s', (restS, letters, days) => {
    let checked = 0;
    for (const [k, letter] of [...letters].entries()) {
      const log = rehearsedLog({ letter, days, seed: 420 + k, policy: 'fixed', restS });
      const study = studied(log);
      const runs = told(study);
      const expected = apart(log, restS);
      checked += expected.length;
      for (const run of expected)
        expect(runs.filter((one) => meet(one, run, restS))).toHaveLength(1);
      expect(without(runs, real(log), restS)).toEqual([]);
      expect(study.findings.map((finding) => finding.fault)).not.toContain('current-clamp-off');
    }
    expect(checked).toBeGreaterThanOrEqual(4 * days);
  });
});
