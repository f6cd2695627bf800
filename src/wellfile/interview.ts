import { assert } from '../base/assert.ts';
import { QUESTIONS, type Question } from './interview-questions.ts';
import { written } from './interview-written.ts';
import { parseWellFile } from './parse.ts';
import { type CannotBe, linesOf, QuestionWalk } from './question-walk.ts';

/**
 * Asks the questions one after the other and keeps what was answered. Every answer that stands
 * makes, with those before it, a file that can be read: what it cannot be is asked again.
 */
export class Interview extends QuestionWalk<Question, string> {
  constructor() {
    super({ questions: QUESTIONS, written: kept, wrong, needed: NAME });
  }

  file(): string {
    return fileOf(this.answers);
  }
}

function kept(question: Question, text: string): { kept: string } | CannotBe {
  const toml = written(question, text);
  return 'toml' in toml ? { kept: toml.toml } : toml;
}

function wrong(answers: ReadonlyMap<string, string>, { key }: Question): string | null {
  const parsed = parseWellFile(fileOf(answers));
  return parsed.ok ? null : linesOf(parsed.issues, key);
}

const NAME = {
  key: 'name',
  says: 'expected a name for the well, found nothing: it is the one thing needed',
};

/** The file as far as it is known: what is not stands as a comment where it belongs. */
function fileOf(answers: ReadonlyMap<string, string>): string {
  const lines = [...HEAD, ...section(answers, '')];
  for (const name of SECTIONS) lines.push('', `[${name}]`, ...section(answers, name));
  return `${[...lines, ...TAIL].join('\n')}\n`;
}

function section(answers: ReadonlyMap<string, string>, name: string): string[] {
  const here = QUESTIONS.filter(({ key }) => sectionOf(key) === name);
  return here.flatMap((question) => {
    const { key, gives, example } = question;
    const leaf = key.slice(key.indexOf('.') + 1);
    const toml = answers.get(key);
    if (toml !== undefined) return [`# ${gives}`, `${leaf} = ${toml}`];
    const shape = written(question, example);
    assert('toml' in shape, `the example of ${key} is an answer`);
    return [`# ${gives}; not known`, `# ${leaf} = ${shape.toml}`];
  });
}

const HEAD = [
  '# A well file made by questions. Its format: docs/formats/well-file.md.',
  '# What is not known stands as an example behind a #: take the # away when you know it.',
  '# A figure may say where it comes from: { value = "38 psi", source = "measured" }, or',
  '# "nameplate", "drillers-log", "guess". Work on pump, panel or well is for licensed people.',
  '',
];

const TAIL = [
  '',
  '# The measuring chain goes into [sensing]: docs/formats/sensing.md, or the page asks for it on',
  '# Gauges. Tests, calibrations and services follow as they are made.',
];

const sectionOf = (key: string) => (key.includes('.') ? key.slice(0, key.indexOf('.')) : '');

/** Tables in the order of the first question for each. */
const SECTIONS = [...new Set(QUESTIONS.map(({ key }) => sectionOf(key)))].filter(Boolean);
