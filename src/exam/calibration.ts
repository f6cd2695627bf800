import type { FaultName } from '../model/faults.ts';
import { type CaseRecord, claimsOf, type Teller } from './case-record.ts';
import { PRIOR_RATES_PER_YEAR } from './prior-rates.ts';

/** Findings said with a belief between two bounds: how many were right. */
export interface Bin {
  from: number;
  to: number;
  count: number;
  right: number;
  /** Mean belief and share right, weighted to how often such wells are met. */
  meanProbability: number;
  rightShare: number;
}

const BOUNDS = [0, 0.5, 0.6, 0.7, 0.8, 0.9, 0.97, 1];
const YEAR_S = 365.25 * 86_400;

/**
 * Whether beliefs hold. A case of a fault stands for the wells that get it in a year, shared among
 * all its cases; a sound well stands for its share of a year of all sound wells. Wells with two
 * faults are left out: nobody knows how often they come.
 */
export function calibrationOf(records: readonly CaseRecord[], teller: Teller): Bin[] {
  const cases = new Map<string, number>();
  let soundYears = 0;
  for (const record of records) {
    const key = record.faults[0]?.name ?? '';
    cases.set(key, (cases.get(key) ?? 0) + (record.faults.length === 1 ? 1 : 0));
    if (record.faults.length === 0) soundYears += (record.untilS - record.fromS) / YEAR_S;
  }
  const claims = records
    .filter((record) => record.faults.length < 2)
    .flatMap((record) => {
      const name = record.faults[0]?.name;
      const weight = name === undefined ? 1 / soundYears : rateOf(name) / cases.get(name)!;
      return claimsOf(record, teller).map((claim) => ({ ...claim, weight }));
    });
  return BOUNDS.slice(1).map((to, i) => {
    const from = BOUNDS[i]!;
    const inside = claims.filter((c) => c.probability > from && c.probability <= to);
    const weight = inside.reduce((sum, c) => sum + c.weight, 0);
    const weighted = (value: (c: (typeof inside)[number]) => number) =>
      inside.reduce((sum, c) => sum + c.weight * value(c), 0) / weight;
    return {
      from,
      to,
      count: inside.length,
      right: inside.filter((c) => c.right).length,
      meanProbability: weighted((c) => c.probability),
      rightShare: weighted((c) => Number(c.right)),
    };
  });
}

const rateOf = (name: FaultName): number =>
  name === 'unknown-trouble' ? 0 : PRIOR_RATES_PER_YEAR[name];
