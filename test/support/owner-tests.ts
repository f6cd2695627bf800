import type { FaultName } from '../../src/model/faults.ts';
import type { Study, TestEntry } from '../../src/model/study.ts';
import type { RehearsedFault } from '../../src/simulation/faults/faults.ts';
import { type Asked, rehearsedLog } from './rehearsed-log.ts';

/** Five days of a well, a fault from half past two of them on, and tests of the keeper. */
export const logOf = (
  letter: string,
  seed: number,
  tests: NonNullable<Asked['tests']>,
  fault?: RehearsedFault,
  severity = 1,
) =>
  rehearsedLog({
    letter,
    seed,
    days: 5,
    bucketDays: [1],
    tests,
    faults: fault ? [{ name: fault, onsetDay: 2.5, growthDays: 0, severity }] : [],
  });
export const only = (study: Study, test: TestEntry['test']): TestEntry => {
  const entry = study.tests.find((one) => one.test === test);
  if (entry === undefined) throw new Error(`no ${test}`);
  return entry;
};
export const lnOf = (entry: TestEntry, fault: FaultName): number =>
  entry.bearing.find((one) => one.fault === fault)?.logLikelihood ?? Number.NaN;
export const figureOf = (entry: TestEntry, what: string) => {
  const found = entry.found.find((one) => one.what.startsWith(what));
  if (found === undefined) throw new Error(`${what}: ${JSON.stringify(entry)}`);
  return found;
};
