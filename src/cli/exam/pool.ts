import { extname } from 'node:path';
import { Worker } from 'node:worker_threads';
import type { CaseRecord } from '../../exam/case-record.ts';
import { type ExamCase, idOf } from './case-id.ts';
import type { Done } from './worker.ts';

export interface PoolOptions {
  workers: number;
  /** Text of a trace of real use, or null. */
  household: string | null;
  /** Told of each case as it is done. */
  done: () => void;
}

/**
 * Runs all cases, the longest first, and gives their records in the order of the plan; a case that
 * breaks down is told in `failed` and does not keep the others from being run.
 */
export async function runAll(
  cases: readonly ExamCase[],
  options: PoolOptions,
): Promise<{ records: CaseRecord[]; failed: string[] }> {
  const order = cases.map((_, k) => k).sort((a, b) => cases[b]!.days - cases[a]!.days || a - b);
  const records: CaseRecord[] = [];
  const failed: string[] = [];
  const next = (): number | undefined => order.shift();
  const count = Math.min(options.workers, cases.length);
  const each = Array.from({ length: count }, () => work(cases, next, { records, failed }, options));
  await Promise.all(each);
  return { records: records.filter((record) => record !== undefined), failed };
}

/** One worker until no case is left. */
function work(
  cases: readonly ExamCase[],
  next: () => number | undefined,
  { records, failed }: { records: CaseRecord[]; failed: string[] },
  { household, done }: PoolOptions,
): Promise<void> {
  // The built program has .js where the source has .ts.
  const file = new URL(`./worker${extname(import.meta.url)}`, import.meta.url);
  const worker = new Worker(file, { workerData: { household } });
  return new Promise<void>((resolve, reject) => {
    let at = next();
    const give = (): void => {
      if (at === undefined) void worker.terminate().then(() => resolve());
      else worker.postMessage(cases[at]);
    };
    worker.on('message', (got: Done) => {
      if ('record' in got) records[at!] = got.record;
      else failed.push(`${idOf(cases[at!]!)}: ${got.failed}`);
      done();
      at = next();
      give();
    });
    worker.on('error', (cause) => {
      const which = at === undefined ? '' : `${idOf(cases[at]!)}: `;
      reject(new Error(`${which}the case could not be run`, { cause }));
    });
    give();
  });
}
