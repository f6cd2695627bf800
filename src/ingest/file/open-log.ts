import { createReadStream } from 'node:fs';
import { open } from 'node:fs/promises';
import { basename } from 'node:path';
import { constants, createGunzip } from 'node:zlib';
import { absentColumns } from './asked-columns.ts';
import type { Collector, Tally } from './collector.ts';
import { CsvLog } from './csv-log.ts';
import { LogError, type LogOptions, type LogProblem } from './log-types.ts';
import { SenmlLog } from './senml-log.ts';

const PIECE_BYTES = 131_072;

/** What reads the bytes of one file, whatever its form. */
interface FormReader {
  readonly out: Collector | null;
  /** The first row as it is written; none where there is no such row. */
  readonly headings: string[];
  push(piece: Uint8Array): void;
  finish(cut: boolean): void;
  told(): string[];
}

/** One log file, read piece by piece. */
export class LogFile {
  readonly name: string;
  readonly told: string[] = [];
  readonly #path: string;
  readonly #options: LogOptions;
  readonly #tally: Tally;
  #pieces: AsyncIterator<Uint8Array> | null = null;
  #reader: FormReader | null = null;
  #zipped: { sizeMod32: number } | null = null;
  #bytes = 0;
  #lastByte = 10;
  #done = false;

  constructor(path: string, options: LogOptions, tally: Tally) {
    this.#path = path;
    this.name = basename(path);
    this.#options = options;
    this.#tally = tally;
  }

  get headings(): string[] {
    return this.#reader?.headings ?? [];
  }

  /** The readings of the next piece of the file that holds any; null at its end. */
  async next(): Promise<Collector | null> {
    this.#reader?.out?.clear();
    while (!this.#done) {
      await this.#step();
      const out = this.#reader?.out;
      if (out && out.batch.count > 0) return out;
    }
    return null;
  }

  async close(): Promise<void> {
    this.#done = true;
    await this.#pieces?.return?.();
  }

  async #step(): Promise<void> {
    try {
      this.#pieces ??= await this.#open();
      const { value, done } = await this.#pieces.next();
      if (done) this.#finish(this.#isCutGzip());
      else this.#take(value);
    } catch (error) {
      if (error instanceof LogError) throw error;
      if (this.#reader === null) throw new LogError([problemOf(this.#path, error)]);
      this.told.push(`${this.name} cannot be read beyond ${this.#bytes} bytes: ${inWords(error)}`);
      this.#finish(true);
    }
  }

  #take(piece: Uint8Array): void {
    if (piece.length === 0) return;
    this.#reader ??= this.#readerFor(piece);
    this.#bytes += piece.length;
    this.#lastByte = piece[piece.length - 1]!;
    this.#reader.push(piece);
  }

  #readerFor(piece: Uint8Array): FormReader {
    if (!isJson(piece)) return new CsvLog(this.name, this.#options, this.#tally);
    const problems = absentColumns(this.#options.asked, []);
    if (problems.length > 0) throw new LogError(problems);
    return new SenmlLog(this.name, this.#tally);
  }

  #finish(cut: boolean): void {
    this.#done = true;
    this.#reader ??= new CsvLog(this.name, this.#options, this.#tally);
    if (cut) this.told.push(`${this.name} ends before its end: what came until there was read`);
    this.#reader.finish(cut);
    this.told.push(...this.#reader.told().map((says) => `${this.name}: ${says}`));
  }

  /** A gzip file names its size at its end: another one means that the end is missing. */
  #isCutGzip(): boolean {
    if (this.#zipped === null || this.#lastByte === 10 || this.#lastByte === 13) return false;
    return this.#zipped.sizeMod32 !== this.#bytes % 2 ** 32;
  }

  async #open(): Promise<AsyncIterator<Uint8Array>> {
    this.#zipped = await gzipSize(this.#path);
    const raw = createReadStream(this.#path, { highWaterMark: PIECE_BYTES });
    if (this.#zipped === null) return raw[Symbol.asyncIterator]();
    // With a flush at the end, a file cut short gives all that was written instead of an error.
    const gunzip = createGunzip({ chunkSize: PIECE_BYTES, finishFlush: constants.Z_SYNC_FLUSH });
    raw.on('error', (error) => gunzip.destroy(error));
    gunzip.on('close', () => raw.destroy());
    return raw.pipe(gunzip)[Symbol.asyncIterator]();
  }
}

/** The size a gzip file says it unpacks to, null when the file is no gzip. */
async function gzipSize(path: string): Promise<{ sizeMod32: number } | null> {
  const file = await open(path, 'r');
  try {
    const stat = await file.stat();
    if (stat.isDirectory()) throw Object.assign(new Error('found a folder'), { code: 'EISDIR' });
    if (!stat.isFile()) return path.endsWith('.gz') ? { sizeMod32: Number.NaN } : null;
    const head = new Uint8Array(2);
    await file.read(head, 0, 2, 0);
    if (head[0] !== 0x1f || head[1] !== 0x8b) return null;
    const tail = new DataView(new ArrayBuffer(4));
    await file.read(tail, 0, 4, Math.max(0, stat.size - 4));
    return { sizeMod32: tail.getUint32(0, true) };
  } finally {
    await file.close();
  }
}

function isJson(piece: Uint8Array): boolean {
  let at = piece[0] === 0xef ? 3 : 0;
  while (at < piece.length && piece[at]! <= 32) at++;
  return piece[at] === 0x5b || piece[at] === 0x7b;
}

function problemOf(path: string, error: unknown): LogProblem {
  const { code } = error as NodeJS.ErrnoException;
  return {
    code: code === 'ENOENT' ? 'no-file' : 'not-readable',
    says: `${path}: ${inWords(error)}`,
  };
}

function inWords(error: unknown): string {
  const { code, message } = error as NodeJS.ErrnoException;
  if (code === 'ENOENT') return 'expected a file, found none';
  if (code === 'EACCES') return 'expected a file that may be read, found one that may not';
  if (code === 'EISDIR') return 'expected a file, found a folder';
  return message;
}
