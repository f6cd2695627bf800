import { spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';

/** What a process did to files of a folder, and what it told, in order. */
export type Step =
  | { kind: 'write'; file: string; at: number; bytes: Buffer }
  | { kind: 'truncate'; file: string; length: number }
  | { kind: 'sync'; file: string }
  | { kind: 'unlink'; file: string }
  | { kind: 'told'; text: string };

const CALLS = 'write,pwrite64,fsync,fdatasync,ftruncate,unlink';
const STDOUT = 1;

export function canTrace(): boolean {
  return spawnSync('strace', ['-V']).status === 0;
}

/**
 * Runs a script of ours to its end under a trace of the system's calls. The main thread alone is
 * traced, which both writes the store and tells: calls of several would lie across one another.
 */
export function traced(script: string, args: string[], folder: string): Step[] {
  const out = join(folder, 'trace.txt');
  const how = ['-y', '-xx', '-s', '1000000', '-e', `trace=${CALLS}`, '-o', out];
  const run = spawnSync('strace', [...how, process.execPath, script, ...args]);
  if (run.status !== 0) throw new Error(`strace: ${run.stderr}`);
  const steps = readFileSync(out, 'utf8').split('\n').map(stepOf);
  return steps.filter((step) => step !== null);
}

/** A line of the trace: `call(fd<path>, "bytes", length, offset) = result`. */
function stepOf(line: string): Step | null {
  const call = /^(\w+)\((?:(\d+)<([^>]*)>)?(.*)\) = (\d+)/.exec(line);
  if (call === null) return null;
  const [, name, fd, path = '', rest = ''] = call;
  const file = basename(unhex(path).toString());
  const [, text = '', after = ''] = /"([^"]*)"(?:, \d+)?(?:, (\d+))?/.exec(rest) ?? [];
  switch (name) {
    case 'write':
      return Number(fd) === STDOUT ? { kind: 'told', text: unhex(text).toString() } : null;
    case 'pwrite64':
      return { kind: 'write', file, at: Number(after), bytes: unhex(text) };
    case 'ftruncate':
      return { kind: 'truncate', file, length: Number(/(\d+)/.exec(rest)?.[1]) };
    case 'unlink':
      return { kind: 'unlink', file: basename(unhex(text).toString()) };
    default:
      return { kind: 'sync', file };
  }
}

function unhex(text: string): Buffer {
  return Buffer.from(text.replaceAll('\\x', ''), 'hex');
}

/** Files of a machine whose power fails: what was not synced is there, torn or not, by chance. */
export class LossyDisk {
  readonly #files = new Map<string, { bytes: Buffer; waiting: Step[] }>();

  take(step: Step): void {
    if (step.kind === 'told') return;
    const file = this.#files.get(step.file) ?? { bytes: Buffer.alloc(0), waiting: [] };
    this.#files.set(step.file, file);
    if (step.kind === 'unlink') this.#files.delete(step.file);
    else if (step.kind !== 'sync') file.waiting.push(step);
    else {
      for (const one of file.waiting) file.bytes = applied(file.bytes, one);
      file.waiting = [];
    }
  }

  /** Writes what a power failure now leaves into a folder. */
  leave(folder: string, random: () => number): void {
    mkdirSync(folder);
    for (const [name, { bytes, waiting }] of this.#files) {
      let left = bytes;
      for (const step of waiting) {
        if (random() < 0.5) continue;
        left = applied(left, random() < 0.3 ? torn(step, random()) : step);
      }
      // The shared index is memory, and gone.
      if (!name.endsWith('-shm')) writeFileSync(join(folder, name), left);
    }
  }
}

function torn(step: Step, share: number): Step {
  if (step.kind !== 'write') return step;
  return { ...step, bytes: step.bytes.subarray(0, Math.floor(share * step.bytes.length)) };
}

function applied(bytes: Buffer, step: Step): Buffer {
  if (step.kind === 'truncate') return resized(bytes, step.length);
  if (step.kind !== 'write') return bytes;
  const end = step.at + step.bytes.length;
  const wider = resized(bytes, Math.max(bytes.length, end));
  wider.set(step.bytes, step.at);
  return wider;
}

function resized(bytes: Buffer, length: number): Buffer {
  const other = Buffer.alloc(length);
  bytes.copy(other);
  return other;
}
