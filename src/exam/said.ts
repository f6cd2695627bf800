import type { FindingEntry, Urgency } from '../model/study.ts';

/** A finding as it is judged: what was believed when, in Unix seconds. */
export interface Said {
  id: string;
  urgency: Urgency;
  raisedS: number;
  /** When it was taken back, mended or replaced; infinite while it stands. */
  closedS: number;
  replacedBy: string | null;
  history: { atS: number; fault: string; probability: number }[];
  /** What else it could be, at the end. */
  instead: { fault: string; probability: number }[];
}

const seconds = (instant: string): number => Date.parse(instant) / 1000;

/** The findings of a study as they were said. */
export function saidOf(findings: readonly FindingEntry[]): Said[] {
  const said = findings.map((finding): Said => {
    const raisedS = seconds(finding.raised);
    const first = { atS: raisedS, fault: finding.fault, probability: finding.probability };
    const history = finding.history.map(({ at, fault, probability }) => ({
      atS: Math.max(seconds(at), raisedS),
      fault,
      probability,
    }));
    return {
      id: finding.id,
      urgency: finding.urgency,
      raisedS,
      closedS: finding.cleared === null ? Number.POSITIVE_INFINITY : seconds(finding.cleared),
      replacedBy: finding.replacedBy,
      history: history.length === 0 ? [first] : history,
      instead: finding.instead,
    };
  });
  for (const one of said) {
    const next = said.find(({ id }) => id === one.replacedBy);
    if (next !== undefined)
      one.closedS = Math.min(one.closedS, Math.max(next.raisedS, one.raisedS));
  }
  return said;
}

/** What a finding held for most likely at a moment not before it was raised. */
export function beliefAt(said: Said, atS: number): { fault: string; probability: number } {
  let held = said.history[0]!;
  for (const entry of said.history) if (entry.atS <= atS) held = entry;
  return held;
}

/** The last belief of a finding. */
export const lastBelief = (said: Said) => beliefAt(said, Number.POSITIVE_INFINITY);

/** Belief from which a fault counts as named. */
const NAMED_FROM = 0.05;

/** Whether a finding names a fault anywhere, as the fault or as what it could be instead. */
export function names(said: Said, fault: string): boolean {
  const all = [...said.history, ...said.instead];
  return all.some((entry) => entry.fault === fault && entry.probability >= NAMED_FROM);
}
