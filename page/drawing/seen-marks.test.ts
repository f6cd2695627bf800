import { expect, it } from 'vitest';
import type { Evidence } from '../../src/model/study.ts';
import { seenMarks } from './seen-marks.ts';

const FROM = '2026-04-06T12:00:00.000Z';
const seen = (unit: string, more: Partial<Evidence> = {}): Evidence => ({
  ...{ says: unit, observed: 5, expected: null, expectedStd: null, unit },
  ...{ from: FROM, to: '2026-04-06T12:10:00.000Z' },
  ...more,
});

it('evidence is marked at its value where a pen draws that, else by its time alone', () => {
  const fromS = Date.parse(FROM) / 1000;
  const span = { fromS, toS: fromS + 600 };
  const marks = seenMarks([
    seen('Pa'),
    seen('starts'),
    seen('A', { observed: 7 }),
    seen('s'),
    seen('s', { to: '2026-04-06T13:00:00.000Z' }),
  ]);
  expect(marks).toEqual([
    { ...span, text: '1', level: { pen: 'pressure', value: 5 } },
    { ...span, text: '2, 4', level: null },
    { ...span, text: '3', level: { pen: 'current', value: 7 } },
    { fromS, toS: fromS + 3600, text: '5', level: null },
  ]);
});

it('evidence of which no time is known has no mark, and takes no number of another', () => {
  const { from, to, ...undated } = seen('Pa');
  expect(seenMarks([undated, seen('A')]).map(({ text }) => text)).toEqual(['2']);
});
