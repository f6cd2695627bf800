/** An answer that cannot be: what was expected there, and what was found. */
export interface CannotBe {
  expected: string;
  found: string;
}

/** What a walk asks, and how an answer is read and judged. */
export interface Subject<Q extends { key: string }, A> {
  questions: readonly Q[];
  /** What is kept for an answer, or why none can be. */
  written(question: Q, text: string): { kept: A } | CannotBe;
  /** Why the answers cannot be so together, one line each; null where they can. */
  wrong(answers: ReadonlyMap<string, A>, question: Q): string | null;
  /** The question that must have an answer, and what is said without one. */
  needed?: { key: string; says: string };
}

/** Answers that leave a thing unknown. */
const DONT_KNOW = new Set(['', '?', '-', "don't know", 'dont know', 'don’t know', 'unknown']);

/**
 * Questions one after the other; what was answered is kept. An answer that cannot be, by itself or
 * beside the others, is asked again with what was expected and found.
 */
export class QuestionWalk<Q extends { key: string }, A> {
  readonly #subject: Subject<Q, A>;
  /** Answers that stood before the first question. */
  readonly #first: ReadonlyMap<string, A>;
  readonly #answers: Map<string, A>;
  #place = 0;

  constructor(subject: Subject<Q, A>, first: ReadonlyMap<string, A> = new Map()) {
    this.#subject = subject;
    this.#first = first;
    this.#answers = new Map(first);
  }

  get answers(): ReadonlyMap<string, A> {
    return this.#answers;
  }

  /** The question at hand; null when all were asked. */
  get question(): Q | null {
    return this.#subject.questions[this.#place] ?? null;
  }

  get place(): number {
    return this.#place + 1;
  }

  /** Takes an answer; gives back why it cannot be, one line, else null. */
  answer(text: string): string | null {
    const { question } = this;
    const clean = text.trim();
    const word = clean.toLowerCase();
    if (word === 'back') return this.#back();
    if (question === null) return null;
    if (word === 'done') return this.#done();
    if (DONT_KNOW.has(word)) return this.#skip(question);
    const read = this.#subject.written(question, clean);
    if ('expected' in read) return saysOf(read);
    const next = new Map(this.#answers).set(question.key, read.kept);
    const wrong = this.#subject.wrong(next, question);
    if (wrong !== null) return wrong;
    this.#answers.set(question.key, read.kept);
    this.#place += 1;
    return null;
  }

  /** The answer before is taken back, but for one that must be. */
  #back(): null {
    this.#place = Math.max(this.#place - 1, 0);
    const key = this.question?.key ?? '';
    const first = this.#first.get(key);
    if (first !== undefined) this.#answers.set(key, first);
    else if (key !== this.#subject.needed?.key) this.#answers.delete(key);
    return null;
  }

  /** The rest stays as it is. */
  #done(): string | null {
    const { needed, questions } = this.#subject;
    if (needed !== undefined && !this.#answers.has(needed.key)) return needed.says;
    this.#place = questions.length;
    return null;
  }

  #skip({ key }: Q): string | null {
    const { needed } = this.#subject;
    if (needed?.key !== key) this.#answers.delete(key);
    else if (!this.#answers.has(key)) return needed.says;
    this.#place += 1;
    return null;
  }
}

const saysOf = ({ expected, found }: CannotBe) => `expected ${expected}, found ${found}`;

/** All that is wrong, one line each; the key is said where it is not the one that was asked for. */
export const linesOf = (issues: readonly (CannotBe & { key: string })[], asked: string): string =>
  issues
    .map((issue) => (['', asked].includes(issue.key) ? '' : `${issue.key}: `) + saysOf(issue))
    .join('\n');
