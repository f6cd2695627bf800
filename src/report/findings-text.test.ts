import { describe, expect, it } from 'vitest';
import { findingOf, flat, studyOf, wellOf } from '../../test/study-fixture.ts';
import type { Moves } from '../model/study.ts';
import { studyText } from './study-text.ts';

describe('an observation', () => {
  const moved = (moves: Moves): string => {
    const { evidence } = findingOf();
    const finding = findingOf({ evidence: [{ ...evidence[0]!, moves }] });
    return flat(studyText(studyOf({ findings: [finding] }), wellOf()));
  };
  it('says which fault it moves how far, in odds', () => {
    const moves = {
      fault: 'tank-waterlogged',
      logOverSound: Math.log(43),
      rival: 'precharge-low',
      logOverRival: Math.log(0.21),
    };
    const rival = 'and 1 : 5 against “the precharge of the tank is low”.';
    expect(moved(moves)).toContain(`It speaks 40 : 1 for this against a sound well, ${rival}`);
  });
  it('of a sign that no sound well shows says what it parts, or nothing', () => {
    const moves = { fault: 'tank-waterlogged', logOverSound: null };
    const parts = { ...moves, rival: 'precharge-low', logOverRival: Math.log(5) };
    expect(moved(parts)).toContain('It speaks 5 : 1 for this against “the precharge of the');
    expect(moved({ ...moves, rival: null, logOverRival: null })).not.toContain('It speaks');
    const alike = { ...parts, logOverRival: Math.log(1.2) };
    expect(moved(alike)).toContain('It does not tell this from “the precharge of the');
    expect(moved({ ...alike, logOverSound: 3 })).toContain(
      'a sound well, and does not tell it from “the precharge of the',
    );
  });
  it('of a share is told in percent, to what is known of it', () => {
    const share = { observed: 0.011, expected: 0, expectedStd: 0.0009, unit: '1' };
    const finding = findingOf({ evidence: [{ says: 'water lost', ...share }] });
    const text = flat(studyText(studyOf({ findings: [finding] }), wellOf()));
    expect(text).toContain('Water lost. Found 1.1 %, expected 0.0 ± 0.2 %.');
  });
  it('that was counted has no decimals', () => {
    const counted = { observed: 2, expected: 0, expectedStd: null, unit: 'runs' };
    const finding = findingOf({ evidence: [{ says: 'runs without amps', ...counted }] });
    const text = flat(studyText(studyOf({ findings: [finding] }), wellOf()));
    expect(text).toContain('Runs without amps. Found 2 runs, expected 0 runs.');
  });
  it('names the fault where the finding has another by now', () => {
    const moves = { fault: 'pump-worn', logOverSound: 30, rival: null, logOverRival: null };
    expect(moved(moves)).toContain(
      'It speaks 10,000 : 1 for “the pump is worn” against a sound well.',
    );
  });
});
