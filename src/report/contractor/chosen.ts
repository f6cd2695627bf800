import type { CautionId } from '../../model/cautions.ts';
import type { Evidence, FindingEntry, Study } from '../../model/study.ts';
import { cautionsOf } from '../findings-text.ts';
import { openFindings } from '../head.ts';
import { unixS } from '../moments.ts';
import type { Block } from './sheet.ts';

const MOST_FINDINGS = 3;
const MOST_TESTS = 4;

/** Open findings that stand on the page, the most urgent first. */
export const shownFindings = (study: Study): FindingEntry[] =>
  openFindings(study).slice(0, MOST_FINDINGS);

/** As odds that are told as 1 : 1. */
const EVEN = Math.log(1.5);

/** What was seen that moves the odds; all of it where nothing does. */
export function telling({ evidence }: FindingEntry): Evidence[] {
  const moving = evidence.filter(
    ({ moves }) =>
      moves === undefined ||
      [moves.logOverSound, moves.logOverRival].some((log) => Math.abs(log ?? 0) >= EVEN),
  );
  return moving.length === 0 ? evidence : moving;
}

/** The latest of what was made, the newest first. */
export const latestTests = <T extends { start: string }>(tests: readonly T[]): T[] =>
  tests.toSorted((a, b) => unixS(b.start) - unixS(a.start)).slice(0, MOST_TESTS);

/** Those of what is found, and of opening what a contractor opens. */
export const shownCautions = (study: Study): CautionId[] => [
  ...new Set<CautionId>([
    'mains-by-electrician',
    'breaker-off-and-tested',
    ...shownFindings(study).flatMap(cautionsOf),
    'breaker-reset-once',
    'advisory-only',
  ]),
];

export const text = (says: string): Block => ({ kind: 'text', says });
