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

const meet = (a: Span, b: Span): boolean =>
  Math.min(a.stopS, b.stopS) - Math.max(a.startS, b.startS) > -SLACK_S;

const without = (spans: Span[], others: Span[]): Span[] =>
  spans.filter((span) => !others.some((other) => meet(span, other)));

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
