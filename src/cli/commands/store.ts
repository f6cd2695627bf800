import { once } from 'node:events';
import { createWriteStream } from 'node:fs';
import { parseArgs } from 'node:util';
import { exportCsv, exportSenml } from '../../store/export.ts';
import { restoreStore } from '../../store/sqlite/backup.ts';
import { StoreFileError } from '../../store/sqlite/schema.ts';
import { SqliteStore } from '../../store/sqlite/store.ts';
import { UsageError } from '../usage.ts';

const USAGE =
  'usage: wellwright store check <store>\n' +
  '       wellwright store backup <store> <new file>\n' +
  '       wellwright store restore <backup> <new store>\n' +
  '       wellwright store export <store> --well <id> [--from <time>] [--to <time>]\n' +
  '         [--form csv|senml] [--out <file>]';

type Values = ReturnType<typeof parsed>['values'];

/** As far as times go. */
const EVER_S = 1e11;

const JOBS: Record<string, (files: string[], values: Values) => Promise<number>> = {
  check: ([path = '']) =>
    reading(path, async (store) => {
      const { chunks, readings, problems } = await store.check();
      process.stdout.write(`${path}: ${readings} readings, ${chunks} sealed hours of a channel\n`);
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

async function exported(from: SqliteStore, path: string, values: Values): Promise<number> {
  const ids = (await from.wells()).map(({ wellId }) => wellId);
  const { well: wellId, form = 'csv', out } = values;
  if (wellId === undefined || !ids.includes(wellId)) {
    const found = wellId === undefined ? 'none' : `"${wellId}"`;
    throw new UsageError(`--well: expected one of ${ids.join(', ')} in ${path}, found ${found}`);
  }
  if (form !== 'csv' && form !== 'senml')
    throw new UsageError(`--form: expected csv or senml, found "${form}"`);
  const fromS = values.from === undefined ? -EVER_S : instantS(values.from, '--from');
  const toS = values.to === undefined ? EVER_S : instantS(values.to, '--to');
  const pieces = (form === 'csv' ? exportCsv : exportSenml)(from, { wellId, fromS, toS });
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
  return 0;
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
  try {
    return parseArgs({
      args,
      allowPositionals: true,
      options: {
        help: { type: 'boolean', short: 'h', default: false },
        well: { type: 'string' },
        from: { type: 'string' },
        to: { type: 'string' },
        form: { type: 'string' },
        out: { type: 'string' },
      },
    });
  } catch (error) {
    throw new UsageError(`${error instanceof Error ? error.message : String(error)}\n${USAGE}`);
  }
}
