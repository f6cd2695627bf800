import { access, writeFile } from 'node:fs/promises';
import { createInterface } from 'node:readline';
import { ACT_CAUTIONS, CAUTIONS } from '../../model/cautions.ts';
import { hanging, paragraph } from '../../report/layout.ts';
import { Interview } from '../../wellfile/interview.ts';
import { QUESTIONS, type Question } from '../../wellfile/interview-questions.ts';
import { parseWellFile } from '../../wellfile/parse.ts';
import { UsageError } from '../usage.ts';

const WELCOME =
  'Questions for a well file, what matters most first. Answer with the unit, as in 44 gal, and ' +
  'where you like with where it comes from: 44 gal, measured (or guess, nameplate, ' +
  "driller's log). An empty line means: don't know. back goes back, done leaves the rest unknown " +
  'and ends. Answer from papers and labels only: nothing need be opened, drained or switched.';

/**
 * `check --new`: asks on standard error, so that the file alone comes out where no name is given
 * for it. Whatever was answered before the input ends is kept.
 */
export async function newWell(out: string | undefined): Promise<number> {
  if (out !== undefined) await mustNotBeThere(out);
  const interview = new Interview();
  say([...paragraph(WELCOME, 0), '']);
  const lines = createInterface({ input: process.stdin })[Symbol.asyncIterator]();
  let before: Question | null = null;
  for (let { question } = interview; question !== null; question = interview.question) {
    ask(question, interview.place, question === before);
    before = question;
    const { value: answer, done } = await lines.next();
    if (done) break;
    const wrong = interview.answer(answer);
    if (wrong !== null) say(['', ...wrong.split('\n').flatMap((text) => paragraph(text, 4)), '']);
  }
  await lines.return?.();
  const text = interview.file();
  const parsed = parseWellFile(text);
  if (!parsed.ok) throw new UsageError('expected at least a name for the well, found none');
  say(['', ...parsed.told.flatMap((told) => paragraph(told, 0))]);
  if (out === undefined) process.stdout.write(text);
  else {
    await writeFile(out, text, { flag: 'wx' });
    say([`${out} is written. Next: wellwright check --well ${out}`]);
  }
  return 0;
}

/** Asked again, a question comes without what was just said beside it. */
function ask(question: Question, place: number, again: boolean): void {
  const label = `${String(place).padStart(2)}/${QUESTIONS.length}`;
  say([
    ...hanging(label, `${question.ask} (such as ${question.example})`, { indent: 0, hang: 7 }),
    ...(again ? [] : [...wordsToChoose(question), ...cautions(question)]),
  ]);
  process.stderr.write('> ');
}

function wordsToChoose({ answer }: Question): string[] {
  if (typeof answer === 'string') return [];
  const words = answer.map((word, i) => `${i + 1} ${word}`).join(', ');
  return hanging('', `one of: ${words}`, { indent: 7, hang: 0 });
}

function cautions({ act }: Question): string[] {
  if (act === undefined) return [];
  const about = { indent: 7, hang: 9 };
  return ACT_CAUTIONS[act].flatMap((id) => hanging('Caution', CAUTIONS[id], about));
}

const say = (lines: readonly string[]) => process.stderr.write(`${lines.join('\n')}\n`);

async function mustNotBeThere(path: string): Promise<void> {
  const isThere = await access(path).then(
    () => true,
    () => false,
  );
  if (isThere) throw new UsageError(`--out: expected a new file, found ${path} there already`);
}
