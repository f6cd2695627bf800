import { writeFile } from 'node:fs/promises';
import type { CaseRecord } from '../../exam/case-record.ts';
import { SYSTEMS } from '../../simulation/catalogue.ts';
import { readTrace } from '../../simulation/household/trace.ts';
import { caseOf, faultFor } from '../exam/case-id.ts';
import { examReport, examText } from '../exam/exam-text.ts';
import { everyFault, type PlanOptions, planOf } from '../exam/plan.ts';
import { runAll } from '../exam/pool.ts';
import { runCase } from '../exam/run-case.ts';
import { caseText } from '../exam/show-case.ts';
import { textFrom } from '../rehearse/prepare.ts';
import { readArgs, UsageError } from '../usage.ts';

const USAGE =
  'usage: wellwright exam [--short] [--systems <letters>] [--faults <a,b>] [--seed-from <n>]\n' +
  '         [--days <n>] [--healthy-years <n>] [--household <csv>] [--workers <n>]\n' +
  '         [--out <file.jsonl>] [--report <file.md>]\n' +
  '       wellwright exam --case <id> [--household <csv>]';

const HEALTHY_YEARS = 20;
const SHORT_HEALTHY_YEARS = 0.23;

/** `exam`: wells of known truth, and how well the truth about them is told. */
export async function exam(args: string[]): Promise<number> {
  const values = parsed(args);
  if (values.help) {
    process.stdout.write(`${USAGE}\n`);
    return 0;
  }
  const household =
    values.household === undefined ? null : await textFrom(values.household, 'a trace of draws');
  const trace = household === null ? null : traceOf(values.household!, household);
  if (values.case !== undefined) {
    const { record, study } = runCase(caseOf(values.case), trace);
    process.stdout.write(caseText(record, study));
    return 0;
  }
  const options = planOptions(values);
  const cases = planOf(options);
  if (cases.length === 0) throw new UsageError('expected at least one case, found none to run');
  const beganMs = performance.now();
  const progress = progressOf(cases.length);
  const workers = whole(values.workers, '--workers', 1);
  const { records, failed } = await runAll(cases, { workers, household, done: progress });
  const tookS = (performance.now() - beganMs) / 1000;
  // Before the tables: a reader that closes the pipe early ends the program.
  await keep(records, values, { tookS, seedFrom: options.seedFrom, command: commandOf(args) });
  process.stdout.write(`${examText(records)}\n`);
  process.stdout.write(`${records.length} cases in ${Math.round(tookS)} s\n`);
  for (const why of failed) process.stderr.write(`could not be run: ${why}\n`);
  return failed.length === 0 ? 0 : 1;
}

type Values = ReturnType<typeof parsed>;

async function keep(
  records: CaseRecord[],
  { out, report }: Values,
  head: { tookS: number; seedFrom: number; command: string },
): Promise<void> {
  if (out !== undefined)
    await writeFile(out, records.map((record) => `${JSON.stringify(record)}\n`).join(''));
  if (report !== undefined) await writeFile(report, examReport(records, head));
}

/** The command as the report shows it, without paths of this machine. */
function commandOf(args: string[]): string {
  const shown = args.map((arg, i) => {
    const option = args[i - 1];
    return option === '--household' || option === '--out' || option === '--report'
      ? `<${option.slice(2)}>`
      : arg;
  });
  return ['./wellwright exam', ...shown].join(' ');
}

function progressOf(total: number): () => void {
  let done = 0;
  return () => {
    done++;
    if (process.stderr.isTTY) process.stderr.write(`\r${done} of ${total} cases`);
    if (done === total && process.stderr.isTTY) process.stderr.write('\n');
  };
}

function planOptions(values: Values): PlanOptions {
  const { short } = values;
  const years = values['healthy-years'];
  return {
    short,
    systems: systemsFrom(values.systems),
    faults: values.faults === undefined ? everyFault() : values.faults.split(',').map(faultFor),
    seedFrom: whole(values['seed-from'], '--seed-from', 0),
    days: values.days === undefined ? null : whole(values.days, '--days', 6),
    healthyYears:
      years === undefined
        ? short
          ? SHORT_HEALTHY_YEARS
          : HEALTHY_YEARS
        : number(years, '--healthy-years'),
  };
}

function systemsFrom(text: string | undefined): string[] {
  const known = SYSTEMS.map((s) => s.letter);
  if (text === undefined) return known;
  const asked = [...text.replaceAll(',', '')];
  const strange = asked.find((letter) => !known.includes(letter));
  if (strange === undefined && asked.length > 0) return asked;
  throw new UsageError(`--systems: expected letters from A to L, found "${strange ?? text}"`);
}

function traceOf(path: string, text: string) {
  try {
    return readTrace(text);
  } catch (error) {
    if (error instanceof RangeError) throw new UsageError(`${path}: ${error.message}`);
    throw error;
  }
}

function parsed(args: string[]) {
  return readArgs(USAGE, {
    args,
    options: {
      help: { type: 'boolean', short: 'h', default: false },
      short: { type: 'boolean', default: false },
      systems: { type: 'string' },
      faults: { type: 'string' },
      'seed-from': { type: 'string', default: '1000' },
      days: { type: 'string' },
      household: { type: 'string' },
      'healthy-years': { type: 'string' },
      workers: { type: 'string', default: '2' },
      out: { type: 'string' },
      report: { type: 'string' },
      case: { type: 'string' },
    },
  }).values;
}

function number(text: string, option: string): number {
  const value = Number(text);
  if (text.trim() !== '' && value >= 0 && Number.isFinite(value)) return value;
  throw new UsageError(`${option}: expected a number from 0 on, found "${text}"`);
}

function whole(text: string, option: string, least: number): number {
  const value = number(text, option);
  if (Number.isInteger(value) && value >= least) return value;
  throw new UsageError(`${option}: expected a whole number from ${least} on, found "${text}"`);
}
