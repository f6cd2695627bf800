import { parentPort, workerData } from 'node:worker_threads';
import { readTrace } from '../../simulation/household/trace.ts';
import type { ExamCase } from './case-id.ts';
import { runCase } from './run-case.ts';

/** One worker of the exam: takes a case, gives its record, waits for the next. */
const { household } = workerData as { household: string | null };
const trace = household === null ? null : readTrace(household);

parentPort?.on('message', (one: ExamCase) => {
  parentPort?.postMessage(runCase(one, trace).record);
});
