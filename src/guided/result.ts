import type { TestEntry } from '../model/study.ts';

/** What came of a test, by the evaluation that a study makes. */
export type TestResult = Pick<TestEntry, 'unusable' | 'found' | 'bearing'> & {
  /** When it was worked out, and up to which reading. */
  at: string;
};
