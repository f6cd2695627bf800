import { CHANNELS, type ReadingBatch } from '../../model/reading.ts';
import { absentColumns, unmetColumns } from './asked-columns.ts';
import { Collector, NO_CHANNEL, Tally } from './collector.ts';
import {
  type BatchSink,
  LogError,
  type LogOptions,
  type LogProblem,
  type LogReport,
} from './log-types.ts';
import { LogFile } from './open-log.ts';

export {
  type BatchSink,
  LogError,
  type LogOptions,
  type LogReport,
} from './log-types.ts';

const MERGED_BATCH = 8192;

interface Source {
  path: string;
  firstS: number;
}

interface Cursor {
  file: LogFile;
  out: Collector;
  at: number;
}

/**
 * Reads log files as one log into `sink`, batch by batch in constant memory. A batch and its
 * arrays are used again after `sink` returns. Several files are read in the order of their first
 * time; where they overlap they are merged by time. Rejects with a `LogError` that lists every
 * problem when a file or its first row cannot be read; all other trouble is set aside.
 */
export async function readLogs(
  paths: string[],
  options: LogOptions,
  sink: BatchSink,
): Promise<LogReport> {
  const tally = new Tally();
  const told: string[] = [];
  const one = paths.length === 1;
  const sources = one ? paths.map(unordered) : await inOrder(paths, options, told);
  const waiting = sources.map(({ path, firstS }) => ({
    file: new LogFile(path, one ? options : { ...options, asked: [] }, tally),
    firstS,
  }));
  const files = waiting.map(({ file }) => file);
  try {
    await merge(waiting, sink);
  } finally {
    await Promise.all(files.map((file) => file.close()));
  }
  return {
    offeredByChannel: Array.from(tally.offered.subarray(0, CHANNELS.length)),
    offeredUnknown: tally.offered[NO_CHANNEL]!,
    used: tally.used,
    setAside: tally.tallies(),
    told: [...told, ...gathered(files), ...unmet(files, options)],
  };
}

const unordered = (path: string): Source => ({ path, firstS: Number.NEGATIVE_INFINITY });

/** The files by their first time; a file without any comes last. */
async function inOrder(paths: string[], options: LogOptions, told: string[]): Promise<Source[]> {
  const sources: Source[] = [];
  const problems: LogProblem[] = [];
  const headings: string[] = [];
  for (const path of paths) {
    const file = new LogFile(path, { ...options, asked: [] }, new Tally());
    try {
      const out = await file.next();
      sources.push({ path, firstS: out ? out.batch.timeS[0]! : Number.POSITIVE_INFINITY });
    } catch (error) {
      if (!(error instanceof LogError)) throw error;
      problems.push(...error.problems);
    } finally {
      headings.push(...file.headings);
      await file.close();
    }
  }
  problems.unshift(...absentColumns(options.asked, [...new Set(headings)]));
  if (problems.length > 0) throw new LogError(problems);
  sources.sort((a, b) => (a.firstS < b.firstS ? -1 : a.firstS > b.firstS ? 1 : 0));
  const names = sources.map(({ path }) => path).join(', ');
  told.push(
    `${paths.length} files are read as one log, in the order of their first time: ${names}`,
  );
  return sources;
}

async function merge(waiting: { file: LogFile; firstS: number }[], sink: BatchSink): Promise<void> {
  const merged = new Collector();
  const flush = async () => {
    if (merged.batch.count > 0) await sink(merged.batch);
    merged.clear();
  };
  let open: Cursor[] = [];
  for (;;) {
    const headS = Math.min(...open.map(({ out, at }) => out.batch.timeS[at]!));
    const due = waiting[0];
    if (due && (open.length === 0 || headS >= due.firstS)) {
      waiting.shift();
      const out = await due.file.next();
      if (out) open.push({ file: due.file, out, at: 0 });
      continue;
    }
    if (open.length === 0) break;
    const cursor = open.find(({ out, at }) => out.batch.timeS[at] === headS) ?? open[0]!;
    const untilS = Math.min(
      due?.firstS ?? Number.POSITIVE_INFINITY,
      ...open.filter((other) => other !== cursor).map(({ out, at }) => out.batch.timeS[at]!),
    );
    if (open.length === 1 && cursor.at === 0 && cursor.out.latestS < untilS) {
      await flush();
      await sink(cursor.out.batch);
      cursor.at = cursor.out.batch.count;
    } else {
      takeUntil(cursor, untilS, merged);
      if (merged.batch.count >= MERGED_BATCH) await flush();
    }
    if (cursor.at < cursor.out.batch.count) continue;
    const out = await cursor.file.next();
    if (out) Object.assign(cursor, { out, at: 0 });
    else open = open.filter((other) => other !== cursor);
  }
  await flush();
}

/** Moves readings of a file up to a time into the merged batch; at least one. */
function takeUntil(cursor: Cursor, untilS: number, merged: Collector): void {
  const batch: ReadingBatch = cursor.out.batch;
  let at = cursor.at;
  do {
    merged.add(batch.timeS[at]!, batch.channel[at]!, batch.value[at]!);
    at++;
  } while (at < batch.count && batch.timeS[at]! <= untilS && merged.batch.count < MERGED_BATCH);
  cursor.at = at;
}

function unmet(files: LogFile[], { columns, asked }: LogOptions): string[] {
  const headings = [...new Set(files.flatMap((file) => file.headings))];
  const named = Object.keys(columns).map((heading) => heading.trim());
  return headings.length === 0
    ? []
    : unmetColumns(
        named.filter((heading) => !asked?.includes(heading)),
        headings,
      );
}

/** What the files tell; what all of them tell is told once. */
function gathered(files: LogFile[]): string[] {
  const times = new Map<string, string[]>();
  for (const file of files) {
    for (const says of file.told) {
      const bare = says.startsWith(`${file.name}: `) ? says.slice(file.name.length + 2) : says;
      times.set(bare, [...(times.get(bare) ?? []), says]);
    }
  }
  return [...times].flatMap(([bare, all]) =>
    all.length === files.length || all.length > 3 ? [bare] : all,
  );
}
