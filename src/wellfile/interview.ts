import { assert } from '../base/assert.ts';
import { QUESTIONS, type Question } from './interview-questions.ts';
import { written } from './interview-written.ts';
import { parseWellFile } from './parse.ts';

/** Answers that leave a thing unknown. */
const DONT_KNOW = new Set(['', '?', '-', "don't know", 'dont know', 'don’t know', 'unknown']);

/**
 * Asks the questions one after the other and keeps what was answered. Every answer that stands
 * makes, with those before it, a file that can be read: what it cannot be is asked again.
 */
export class Interview {
  #place = 0;
  /** TOML by key. */
  readonly #answers = new Map<string, string>();

  /** The question at hand; null when all were asked. */
  get question(): Question | null {
    return QUESTIONS[this.#place] ?? null;
  }

  get place(): number {
    return this.#place + 1;
  }

  /** Takes an answer; gives back why it cannot be, one line, else null. */
  answer(text: string): string | null {
    const { question } = this;
    if (question === null) return null;
    const clean = text.trim();
    const word = clean.toLowerCase();
    if (word === 'back') return this.#back();
    if (word === 'done') return this.#done();
    if (DONT_KNOW.has(word)) return this.#skip(question);
    const toml = written(question, clean);
    if ('expected' in toml) return `expected ${toml.expected}, found ${toml.found}`;
    const before = this.#answers.get(question.key);
    this.#answers.set(question.key, toml.toml);
    const parsed = parseWellFile(this.file());
    if (parsed.ok) {
      this.#place += 1;
      return null;
    }
    this.#restore(question.key, before);
    return parsed.issues
      .map(({ key, expected, found }) => {
        const at = key === question.key || key === '' ? '' : `${key}: `;
        return `${at}expected ${expected}, found ${found}`;
      })
      .join('\n');
  }

  #restore(key: string, before: string | undefined): void {
    if (before === undefined) this.#answers.delete(key);
    else this.#answers.set(key, before);
  }

  #back(): null {
    this.#place = Math.max(this.#place - 1, 0);
    const key = this.question?.key;
    if (key !== undefined && key !== 'name') this.#answers.delete(key);
    return null;
  }

  /** The rest stays unknown. */
  #done(): string | null {
    if (!this.#answers.has('name')) return NEEDS_NAME;
    this.#place = QUESTIONS.length;
    return null;
  }

  #skip({ key }: Question): string | null {
    if (key === 'name' && !this.#answers.has('name')) return NEEDS_NAME;
    this.#place += 1;
    return null;
  }

  /** The file as far as it is known: what is not stands as a comment where it belongs. */
  file(): string {
    const lines = [...HEAD, ...this.#section('')];
    for (const name of SECTIONS) lines.push('', `[${name}]`, ...this.#section(name));
    return `${[...lines, ...TAIL].join('\n')}\n`;
  }

  #section(name: string): string[] {
    const here = QUESTIONS.filter(({ key }) => sectionOf(key) === name);
    return here.flatMap((question) => {
      const { key, gives, example } = question;
      const leaf = key.slice(key.indexOf('.') + 1);
      const toml = this.#answers.get(key);
      if (toml !== undefined) return [`# ${gives}`, `${leaf} = ${toml}`];
      const shape = written(question, example);
      assert('toml' in shape, `the example of ${key} is an answer`);
      return [`# ${gives}; not known`, `# ${leaf} = ${shape.toml}`];
    });
  }
}

const NEEDS_NAME = 'expected a name for the well, found nothing: it is the one thing needed';

const HEAD = [
  '# A well file made by questions. Its format: docs/formats/well-file.md.',
  '# What is not known stands as an example behind a #: take the # away when you know it.',
  '# A figure may say where it comes from: { value = "38 psi", source = "measured" }, or',
  '# "nameplate", "drillers-log", "guess". Work on pump, panel or well is for licensed people.',
  '',
];

const TAIL = [
  '',
  '# The measuring chain goes into [sensing]: docs/formats/sensing.md. Tests, calibrations and',
  '# services follow as they are made.',
];

const sectionOf = (key: string) => (key.includes('.') ? key.slice(0, key.indexOf('.')) : '');

/** Tables in the order of the first question for each. */
const SECTIONS = [...new Set(QUESTIONS.map(({ key }) => sectionOf(key)))].filter(Boolean);
