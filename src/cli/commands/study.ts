import { readFile } from 'node:fs/promises';
import { LogError, readLogs } from '../../ingest/file/read-logs.ts';
import type { ReadingBatch } from '../../model/reading.ts';
import type { Study } from '../../model/study.ts';
import type { Well } from '../../model/well.ts';
import { atmosphericPressurePa } from '../../physics/air/atmospheric-pressure.ts';
import { Pipeline } from '../../pipeline/pipeline.ts';
import { studyOf } from '../../pipeline/result.ts';
import { studyText } from '../../report/study-text.ts';
import { formatIssue } from '../../wellfile/issue.ts';
import { parseWellFile } from '../../wellfile/parse.ts';
import { writeContractorPage } from '../contractor/from-logs.ts';
import { readArgs, UsageError } from '../usage.ts';

const USAGE =
  'usage: wellwright study --well <well.toml> [--json] [--days <n>] [--column <a>=<b>]...\n' +
  '         [--contractor <new file.html|.pdf> [--complaint "<words>"]] <log>...';

interface Asked {
  wellFile: string;
  json: boolean;
  days: number | undefined;
  columns: Record<string, string>;
  contractor: string | null;
  complaint: string;
  logs: string[];
}

/** `study`: a recorded log in, the truth about the well out. */
export async function study(args: string[]): Promise<number> {
  const asked = askedFor(args);
  if (asked === null) {
    process.stdout.write(`${USAGE}\n`);
    return 0;
  }
  const { well, told } = await readWell(asked.wellFile);
  const result = await studyLogs(well, asked.logs, { columns: asked.columns, told });
  if (asked.contractor !== null)
    await contractorPage(asked, asked.contractor, { study: result, well });
  if (asked.json) process.stdout.write(`${JSON.stringify(result)}\n`);
  else {
    const { days } = asked;
    process.stdout.write(studyText(result, well, days === undefined ? {} : { days }));
  }
  return 0;
}

async function contractorPage(
  { wellFile, logs, columns, complaint }: Asked,
  out: string,
  of: { study: Study; well: Well },
): Promise<void> {
  const how = howToRead(of.well, columns);
  const read = (take: (batch: ReadingBatch) => void) => readLogs(logs, how, take);
  await writeContractorPage({ ...of, wellFile, logs, read, complaint, out });
}

function howToRead(well: Well, asked: Record<string, string>) {
  return {
    timeZone: well.timeZone,
    atmospherePa: atmosphericPressurePa(well.altitudeM.value),
    columns: { ...well.logging.columns, ...asked },
    asked: Object.keys(asked),
  };
}

/** Replays logs through the pipeline that live readings go through. */
export async function studyLogs(
  well: Well,
  logs: string[],
  options: { columns: Record<string, string>; told: string[] },
): Promise<Study> {
  const pipeline = new Pipeline(well);
  const how = howToRead(well, options.columns);
  const report = await readLogs(logs, how, (batch) => pipeline.take(batch)).catch(
    (error: unknown) => {
      if (error instanceof LogError) throw new UsageError(error.message);
      throw error;
    },
  );
  pipeline.end();
  if (Number.isNaN(pipeline.firstS)) {
    const setAside = [...report.setAside, ...pipeline.setAside()];
    throw new UsageError(nothingUsable(logs, setAside));
  }
  return studyOf(pipeline, {
    setAside: report.setAside,
    told: [...options.told, ...report.told],
  });
}

function nothingUsable(logs: string[], setAside: { reason: string; count: number }[]): string {
  const why = setAside
    .filter(({ count }) => count > 0)
    .map(({ reason, count }) => `${count} ${reason}`);
  const reasons = why.length === 0 ? 'no reading of pressure or current' : why.join(', ');
  return `${logs.join(', ')}: expected readings of pressure or current, found ${reasons}`;
}

async function readWell(file: string): Promise<{ well: Well; told: string[] }> {
  const text = await readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    throw new UsageError(`${file}: expected a well file, found ${error.code ?? error.message}`);
  });
  const parsed = parseWellFile(text);
  if (parsed.ok) return { well: parsed.well, told: parsed.told };
  throw new UsageError(parsed.issues.map((issue) => formatIssue(issue, file)).join('\n'));
}

/** What was asked for; null for help. */
function askedFor(args: string[]): Asked | null {
  const { values, positionals } = parsed(args);
  if (values.help) return null;
  if (values.well === undefined) throw new UsageError(`expected --well <well.toml>\n${USAGE}`);
  if (positionals.length === 0) throw new UsageError(`expected a log, found none\n${USAGE}`);
  return {
    wellFile: values.well,
    json: values.json,
    days: values.days === undefined ? undefined : wholeDays(values.days),
    columns: Object.fromEntries(values.column.map(columnPair)),
    contractor: values.contractor === undefined ? null : pageFile(values.contractor),
    complaint: values.complaint,
    logs: positionals,
  };
}

function parsed(args: string[]) {
  return readArgs(USAGE, {
    args,
    allowPositionals: true,
    options: {
      help: { type: 'boolean', short: 'h', default: false },
      well: { type: 'string' },
      json: { type: 'boolean', default: false },
      days: { type: 'string' },
      column: { type: 'string', multiple: true, default: [] },
      contractor: { type: 'string' },
      complaint: { type: 'string', default: '' },
    },
  });
}

function wholeDays(text: string): number {
  const days = Number(text);
  if (!Number.isInteger(days) || days < 1)
    throw new UsageError(`--days: expected a whole number from 1 on, found "${text}"`);
  return days;
}

function pageFile(text: string): string {
  if (/\.(html|pdf)$/.test(text)) return text;
  throw new UsageError(`--contractor: expected a file that ends in .html or .pdf, found "${text}"`);
}

function columnPair(text: string): [string, string] {
  const at = text.lastIndexOf('=');
  if (at < 1)
    throw new UsageError(
      '--column: expected <their heading>=<channel> [<unit>], as in ' +
        `"Line P=pressure [psi]", found "${text}"`,
    );
  return [text.slice(0, at).trim(), text.slice(at + 1).trim()];
}
