import { describe, expect, it } from 'vitest';
import { parseSensing } from '../instruments/index.ts';
import { ChainInterview, toldOf } from './chain-interview.ts';
import { CHAIN_PARTS, CHAIN_QUESTIONS, type ChainPart } from './chain-questions.ts';

/** Answers by key; `back`, `done` and what is not known work as in the first visit. */
function asked(part: ChainPart, answers: Record<string, string>, sensing: object | null = null) {
  const interview = new ChainInterview(part, sensing as Record<string, unknown>);
  for (let { question } = interview; question !== null; question = interview.question)
    expect(interview.answer(answers[question.key] ?? ''), question.key).toBeNull();
  return interview.changes();
}

/** Dotted keys as tables. */
function tables(keys: object): Record<string, Record<string, unknown>> {
  const whole: Record<string, Record<string, unknown>> = {};
  for (const [key, value] of Object.entries(keys)) {
    const [table = '', leaf = ''] = key.split('.');
    whole[table] = { ...whole[table], [leaf]: value };
  }
  return whole;
}

const EXAMPLES = Object.fromEntries(
  Object.values(CHAIN_QUESTIONS)
    .flat()
    .map(({ key, example }) => [key, example]),
);

describe('the questions of the chain', () => {
  it('have examples that make a chain which can be read, every key of it once', () => {
    let sensing = {};
    for (const part of ['pressure', 'current', 'bus', 'sampling', 'converter'] as const)
      sensing = { ...sensing, ...asked(part, EXAMPLES, tables(sensing)) };
    const read = parseSensing(tables(sensing));
    expect(read.issues).toEqual([]);
    const keys = CHAIN_PARTS.flatMap((part) => CHAIN_QUESTIONS[part].map(({ key }) => key));
    expect(new Set(keys).size).toBe(keys.length);
    expect(Object.keys(sensing).sort()).toEqual(keys.sort());
    const empty = (value: unknown): boolean =>
      value === null || (typeof value === 'object' && Object.values(value).some(empty));
    expect(Object.values(read.chain!).some(empty)).toBe(false);
    for (const part of CHAIN_PARTS)
      expect(toldOf(part, tables(sensing))).toBe(CHAIN_QUESTIONS[part].length);
  });

  it.each([
    ['pressure.range', '150', /expected a gauge pressure.*found "150"/],
    ['pressure.range', '150 ft', /found "150 ft"/],
    ['pressure.output', '4.5 V to 0.5 V', /expected a rising output/],
    ['pressure.output', '4.5 V', /expected 2 of/],
    ['pressure.ratiometric', 'perhaps', /expected one of yes, no, found "perhaps"/],
    ['converter.bits', 'many', /expected a whole number such as 16, found "many"/],
    ['converter.bits', '99', /expected a whole number from 4 to 32/],
    ['current.gain', '3 V', /expected one of "1.024 V", "2.048 V", "4.096 V", found "3 V"/],
    ['current.class', '2', /expected one of 0.2/],
  ])('ask again for %s after "%s"', (key, text, says) => {
    const part = CHAIN_PARTS.find((one) => CHAIN_QUESTIONS[one].some((each) => each.key === key))!;
    const interview = new ChainInterview(part, null);
    for (; interview.question?.key !== key; ) interview.answer(EXAMPLES[interview.question!.key]!);
    expect(interview.answer(text)).toMatch(says);
    expect(interview.question?.key).toBe(key);
    expect(interview.answer(EXAMPLES[key]!)).toBeNull();
  });

  it('begin with what stands there, and change only what is answered otherwise', () => {
    const sensing = { pressure: { range: '150 psi', output: ['0.5 V', '4.5 V'], supply: '5 V' } };
    const interview = new ChainInterview('pressure', sensing);
    expect(interview.typed(interview.question!)).toBe('150 psi');
    interview.answer('100 psi');
    expect(interview.typed(interview.question!)).toBe('0.5 V and 4.5 V');
    interview.answer(interview.typed(interview.question!));
    interview.answer('');
    interview.answer('yes');
    interview.answer('done');
    expect(interview.changes()).toEqual({
      'pressure.range': '100 psi',
      'pressure.supply': null,
      'pressure.ratiometric': true,
    });
    interview.answer('back');
    expect(interview.question).not.toBeNull();
  });

  it('mend what stands wrong, without being held up by it before its turn', () => {
    const sensing = { pressure: { range: '150 psi', supply: '5 psi', rnage: '3 psi' } };
    const interview = new ChainInterview('pressure', sensing);
    expect(interview.answer('100 psi')).toBeNull();
    expect(interview.answer('0.5 V to 4.5 V')).toBeNull();
    expect(interview.answer('5 psi')).toMatch(/expected a voltage/);
    expect(interview.answer('5 V')).toBeNull();
  });
});
