import { once } from 'node:events';
import { createWriteStream, existsSync } from 'node:fs';
import { StoreDamaged, StoreRefuses } from '../../ports/reading-store.ts';
import { exportCsv, exportSenml } from '../../store/export.ts';
import { exportBook } from '../../store/export-book.ts';
import { restoreStore } from '../../store/sqlite/backup.ts';
import { takeStore } from '../../store/sqlite/in-use.ts';
import { StoreFileError } from '../../store/sqlite/schema.ts';
import { SqliteStore } from '../../store/sqlite/store.ts';
import { readArgs, UsageError } from '../usage.ts';
import { keepDays } from '../watch/retention.ts';

const USAGE =
  'usage: wellwright store check <store>\n' +
  '       wellwright store backup <store> <new file>\n' +
  '       wellwright store restore <backup> <new store>\n' +
  '       wellwright store export <store> --well <id> [--from <time>] [--to <time>]\n' +
  '         [--form csv|senml|book] [--out <file>]\n' +
  '       wellwright store drop-raw <store> --keep <days> [--well <id>] [--for-good]';

type Values = ReturnType<typeof parsed>['values'];

/** As far as times go. */
const EVER_S = 1e11;

const JOBS: Record<string, (files: string[], values: Values) => Promise<number>> = {
  check: ([path = '']) =>
    reading(path, async (store) => {
      const { chunks, readings, snapshots, problems } = await store.check();
      process.stdout.write(
        `${path}: ${readings} readings, ${chunks} sealed hours of a channel, ` +
          `${snapshots} snapshots\n`,
      );
      for (const problem of problems) process.stderr.write(`${path}: ${problem}\n`);
      process.stdout.write(problems.length === 0 ? 'nothing is wrong\n' : '');
      return problems.length === 0 ? 0 : 1;
    }),
  backup: ([path = '', to = '']) =>
    reading(path, async (store) => {
      const { readings } = await store.backup(to);
      process.stdout.write(`${to}: ${readings} readings, checked\n`);
      return 0;
    }),
  restore: async ([from = '', to = '']) => {
    const { readings } = await restoreStore(from, to);
    process.stdout.write(`${to}: ${readings} readings, checked\n`);
    return 0;
  },
  export: ([path = ''], values) => reading(path, (store) => exported(store, path, values)),
  'drop-raw': ([path = ''], values) => droppedRaw(path, values),
};

/** `store`: looks after the file that readings are kept in, in use or not. */
export async function store(args: string[]): Promise<number> {
  const { values, positionals } = parsed(args);
  if (values.help) {
    process.stdout.write(`${USAGE}\n`);
    return 0;
  }
  const [name = '', ...files] = positionals;
  const job = Object.hasOwn(JOBS, name) ? JOBS[name] : undefined;
  const wanted = name === 'backup' || name === 'restore' ? 2 : 1;
  if (job === undefined) {
    const found = name === '' ? 'none' : `"${name}"`;
    throw new UsageError(
      `expected one of ${Object.keys(JOBS).join(', ')}, found ${found}\n${USAGE}`,
    );
  }
  if (files.length !== wanted)
    throw new UsageError(`expected ${wanted} file names, found ${files.length}\n${USAGE}`);
  try {
    return await job(files, values);
  } catch (error) {
    if (error instanceof StoreFileError) throw new UsageError(error.message);
    const isTold = [StoreRefuses, StoreDamaged, RangeError].some((kind) => error instanceof kind);
    if (isTold) throw new UsageError(`${files[0]}: ${(error as Error).message}`);
    throw error;
  }
}

async function reading<T>(path: string, use: (store: SqliteStore) => Promise<T>): Promise<T> {
  const opened = new SqliteStore(path, { readOnly: true });
  try {
    return await use(opened);
  } finally {
    await opened.close();
  }
}

/** Writes into a store that no service has open. */
async function alone<T>(path: string, use: (store: SqliteStore) => Promise<T>): Promise<T> {
  if (!existsSync(path)) throw new StoreFileError(path, 'a store', 'no file');
  const inUse = takeStore(path);
  try {
    const opened = new SqliteStore(path);
    return await use(opened).finally(() => opened.close());
  } finally {
    inUse.leave();
  }
}

async function exported(from: SqliteStore, path: string, values: Values): Promise<number> {
  const { form = 'csv', out } = values;
  const wellId = wellIn(await from.wells(), path, values.well);
  if (form !== 'csv' && form !== 'senml' && form !== 'book')
    throw new UsageError(`--form: expected csv, senml or book, found "${form}"`);
  const fromS = values.from === undefined ? -EVER_S : instantS(values.from, '--from');
  const toS = values.to === undefined ? EVER_S : instantS(values.to, '--to');
  const lost = new Map<number, string>();
  const sound = {
    readings: (...[id, startS, stopS]: Parameters<SqliteStore['readings']>) =>
      from.readable({ wellId: id, fromS: startS, toS: stopS }, (hourS, { message }) =>
        lost.set(hourS, message),
      ),
  };
  const span = { wellId, fromS, toS };
  const pieces =
    form === 'book'
      ? exportBook(from, span)
      : (form === 'csv' ? exportCsv : exportSenml)(sound, span);
  const to = out === undefined ? process.stdout : createWriteStream(out, { flags: 'wx' });
  const failed = new Promise<never>((_, reject) => {
    to.once('error', (error: NodeJS.ErrnoException) =>
      reject(new UsageError(`${out}: expected to write a new file, found ${error.code}`)),
    );
  });
  failed.catch(() => undefined);
  for await (const piece of pieces)
    if (!to.write(piece)) await Promise.race([once(to, 'drain'), failed]);
  if (to !== process.stdout) await Promise.race([once(to.end(), 'finish'), failed]);
  for (const says of lost.values()) process.stderr.write(`${path}: not exported: ${says}\n`);
  return lost.size === 0 ? 0 : 1;
}

/** Tells what would go; drops it only when told to. */
async function droppedRaw(path: string, values: Values): Promise<number> {
  const days = keepDays(values.keep ?? '', '--keep');
  const forGood = values['for-good'];
  const drop = async (store: SqliteStore) => {
    const ids = values.well === undefined ? null : [wellIn(await store.wells(), path, values.well)];
    for (const wellId of ids ?? (await store.wells()).map((one) => one.wellId)) {
      const { beforeS, readings } = await store.oldRaw(wellId, days);
      const day = readings === 0 ? '' : new Date(beforeS * 1000).toISOString().slice(0, 10);
      if (forGood && readings > 0) await store.dropRawBefore(wellId, beforeS);
      const verb = forGood ? 'dropped' : 'would go for good';
      const says = readings === 0 ? 'nothing older' : `${readings} of before ${day} ${verb}`;
      process.stdout.write(`${wellId}: raw readings: ${says}\n`);
    }
    process.stdout.write(forGood ? KEPT : `${KEPT}${NOT_YET}`);
    return 0;
  };
  return forGood ? alone(path, drop) : reading(path, drop);
}

const KEPT =
  'Hourly summaries and records stay. An analysis begun anew, by another version or an edited\n' +
  'well file, learns from the raw readings that are left.\n';
const NOT_YET = 'Nothing was dropped. Back up first; --for-good drops it, and cannot be undone.\n';

function wellIn(kept: { wellId: string }[], path: string, id: string | undefined): string {
  const ids = kept.map(({ wellId }) => wellId);
  if (id !== undefined && ids.includes(id)) return id;
  const found = id === undefined ? 'none' : `"${id}"`;
  throw new UsageError(`--well: expected one of ${ids.join(', ')} in ${path}, found ${found}`);
}

function instantS(text: string, option: string): number {
  const timeS = /^\d{4}-\d\d-\d\d(T[\d:.]+(Z|[+-]\d\d:\d\d))?$/.test(text)
    ? Date.parse(text) / 1000
    : Number.NaN;
  if (!Number.isNaN(timeS)) return timeS;
  const example = '2026-04-06 or 2026-04-06T12:00:00Z';
  throw new UsageError(`${option}: expected a time, as in ${example}, found "${text}"`);
}

function parsed(args: string[]) {
  return readArgs(USAGE, {
    args,
    allowPositionals: true,
    options: {
      help: { type: 'boolean', short: 'h', default: false },
      well: { type: 'string' },
      from: { type: 'string' },
      to: { type: 'string' },
      form: { type: 'string' },
      out: { type: 'string' },
      keep: { type: 'string' },
      'for-good': { type: 'boolean', default: false },
    },
  });
}
