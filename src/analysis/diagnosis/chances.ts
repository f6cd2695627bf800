import type { FaultName } from '../../model/faults.ts';

export interface Chance {
  fault: FaultName;
  probability: number;
}

export const sum = (list: readonly Chance[]): number =>
  list.reduce((s, one) => s + one.probability, 0);

/** Odds with each fault that many times as likely, adding up to 1 again, likeliest first. */
export function reweighed(odds: readonly Chance[], times: (fault: FaultName) => number): Chance[] {
  const weighed = odds.map(({ fault, probability }) => ({
    fault,
    probability: probability * times(fault),
  }));
  const all = sum(weighed);
  return weighed
    .map(({ fault, probability }) => ({ fault, probability: probability / all }))
    .toSorted((a, b) => b.probability - a.probability);
}

/** Chances of faults where there is trouble. */
export function givenTrouble(verdict: { nothing: number; faults: readonly Chance[] }): Chance[] {
  const trouble = 1 - verdict.nothing;
  return verdict.faults.map(({ fault, probability }) => ({
    fault,
    probability: probability / trouble,
  }));
}

const INSTEAD_MAX = 6;
const LEAST = 0.005;

/** The first fault and the likeliest others; what is left goes to trouble unknown. */
export function ranked(odds: readonly Chance[]): {
  fault: FaultName;
  probability: number;
  instead: Chance[];
} {
  const [first, ...rest] = odds;
  const kept = rest
    .filter(({ fault, probability }) => probability >= LEAST && fault !== 'unknown-trouble')
    .slice(0, INSTEAD_MAX);
  const left = 1 - first!.probability - sum(kept);
  const unknown = { fault: 'unknown-trouble' as const, probability: left };
  const isUnknown = first!.fault === 'unknown-trouble';
  if (isUnknown) return { ...first!, probability: first!.probability + left, instead: kept };
  return { ...first!, instead: left > 0 ? [...kept, unknown] : kept };
}
