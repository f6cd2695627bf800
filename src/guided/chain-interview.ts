import { parseSensing } from '../instruments/index.ts';
import type { BlockValue } from '../wellfile/add-block.ts';
import { type CannotBe, linesOf, QuestionWalk } from '../wellfile/question-walk.ts';
import type { KeyValues } from '../wellfile/with-keys.ts';
import { CHAIN_QUESTIONS, type ChainPart, type ChainQuestion, YES_NO } from './chain-questions.ts';

type Sensing = Record<string, unknown>;

/**
 * Asks for one part of `[sensing]`, from what stands there. An answer is judged as the check of
 * the chain reads it; what stands wrong in the file is not held against the questions before it.
 */
export class ChainInterview extends QuestionWalk<ChainQuestion, BlockValue> {
  readonly #before: ReadonlyMap<string, BlockValue>;

  constructor(part: ChainPart, sensing: Sensing | null) {
    const questions = CHAIN_QUESTIONS[part];
    const before = told(questions, sensing);
    const wrong = (answers: ReadonlyMap<string, BlockValue>, question: ChainQuestion) => {
      const asked = questions.slice(0, questions.indexOf(question) + 1);
      const keys = asked.map(({ key }) => `sensing.${key}`);
      const issues = issuesOf(sensing, answers).filter(({ key }) => keys.includes(key));
      return issues.length === 0 ? null : linesOf(issues, `sensing.${question.key}`);
    };
    super({ questions, written, wrong }, before);
    this.#before = before;
  }

  /** What is to be written: keys whose value is another one, null for those taken out. */
  changes(): KeyValues {
    const keys = new Set([...this.#before.keys(), ...this.answers.keys()]);
    const all = [...keys].map((key) => [key, this.answers.get(key) ?? null] as const);
    return Object.fromEntries(all.filter(([key, value]) => !same(value, this.#before.get(key))));
  }

  /** The answer as it would be typed; '' where none is known. */
  typed({ key, answer }: ChainQuestion): string {
    const value = this.answers.get(key);
    if (value === undefined) return '';
    if (typeof value === 'boolean') return YES_NO[value ? 0 : 1];
    const words = (Array.isArray(value) ? value : [value]).map(String);
    return words.join(answer === 'some' ? '; ' : ' and ');
  }
}

/** How many questions of a part the file answers. */
export const toldOf = (part: ChainPart, sensing: Sensing | null): number =>
  told(CHAIN_QUESTIONS[part], sensing).size;

function told(questions: readonly ChainQuestion[], sensing: Sensing | null) {
  const found = new Map<string, BlockValue>();
  for (const { key } of questions) {
    const [table = '', leaf = ''] = key.split('.');
    const value = (sensing?.[table] as Sensing | undefined)?.[leaf];
    if (value !== undefined) found.set(key, value as BlockValue);
  }
  return found;
}

function issuesOf(sensing: Sensing | null, answers: ReadonlyMap<string, BlockValue>) {
  return parseSensing(withAnswers(sensing, Object.fromEntries(answers))).issues;
}

/** `[sensing]` with keys put into it. */
function withAnswers(sensing: Sensing | null, keys: KeyValues): Sensing {
  const whole: Sensing = { ...sensing };
  for (const [key, value] of Object.entries(keys)) {
    const [table = '', leaf = ''] = key.split('.');
    whole[table] = { ...(whole[table] as Sensing | undefined), [leaf]: value };
  }
  return whole;
}

const same = (a: BlockValue, b: BlockValue | undefined) =>
  JSON.stringify(a) === JSON.stringify(b ?? null);

function written(
  { answer, example }: ChainQuestion,
  text: string,
): { kept: BlockValue } | CannotBe {
  if (answer === 'one') return { kept: text };
  if (answer === 'whole')
    return /^\d{1,9}$/.test(text)
      ? { kept: Number(text) }
      : { expected: `a whole number such as ${example}`, found: JSON.stringify(text) };
  if (answer === 'two' || answer === 'some') {
    const parts = text.split(/\s*;\s*|,\s+|\s+(?:and|to)\s+/);
    return { kept: parts.length === 1 ? text : parts };
  }
  const word = answer.find((one) => one.toLowerCase() === text.toLowerCase());
  if (word === undefined)
    return { expected: `one of ${answer.join(', ')}`, found: JSON.stringify(text) };
  return { kept: answer === YES_NO ? word === YES_NO[0] : word };
}
