import { parentPort, workerData } from 'node:worker_threads';
import type { CaseRecord } from '../../exam/case-record.ts';
import { readTrace } from '../../simulation/household/trace.ts';
import type { ExamCase } from './case-id.ts';
import { runCase } from './run-case.ts';

/** One worker of the exam: takes a case, gives its record, waits for the next. */
const { household } = workerData as { household: string | null };
const trace = household === null ? null : readTrace(household);

/** What a worker gives back: the record, or why there is none. */
export type Done = { record: CaseRecord } | { failed: string };

parentPort?.on('message', (one: ExamCase) => {
  parentPort?.postMessage(done(one));
});

function done(one: ExamCase): Done {
  try {
    return { record: runCase(one, trace).record };
  } catch (error) {
    return { failed: String(error) };
  }
}
