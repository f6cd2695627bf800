import { ADVICE } from '../model/advice.ts';
import type { FaultName } from '../model/faults.ts';
import { type FindingEntry, type Urgency, weightOf } from '../model/study.ts';

/** A look-alike that cannot wait is worth a look from this belief on. */
const WORTH_A_LOOK = 0.1;
/** What looks like use for so long cannot wait either, s (handbook practice: two hours of flow). */
const TOO_LONG_S = 7200;
/** The pump of a sound house runs for less of an hour than this (common practice). */
const MOST_OF_IT = 0.5;

/** How urgently a finding is told, and the belief that it is at least as bad as that. */
export interface Concern {
  urgency: Urgency;
  probability: number;
}

/**
 * The trouble that a finding stands for is there, whatever its name: what counts is the belief in
 * all its names that are as urgent. What is most likely harmless, and may be what cannot wait, asks
 * for a look: heavy use that may be a burst pipe.
 */
export function concernOf(
  finding: FindingEntry,
  { nowS, duty }: { nowS: number; duty: number },
): Concern {
  const { urgency, since } = finding;
  const odds = [finding as { fault: string; probability: number }, ...finding.instead];
  const asUrgent = (than: Urgency): number =>
    odds
      .filter(({ fault }) => weightOf(ADVICE[fault as FaultName].urgency) >= weightOf(than))
      .reduce((sum, { probability }) => sum + probability, 0);
  if (urgency !== 'note') return { urgency, probability: asUrgent(urgency) };
  if (asUrgent('now') < WORTH_A_LOOK) return { urgency, probability: 1 };
  const isLong = nowS - Date.parse(since) / 1000 >= TOO_LONG_S;
  // Water that does not run any more has stopped doing harm.
  return { urgency: isLong && duty >= MOST_OF_IT ? 'now' : 'today', probability: 1 };
}
