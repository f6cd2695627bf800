import { ACT_CAUTIONS } from '../../model/cautions.ts';
import type { Resolved } from './resolve.ts';
import type { ChainFinding } from './types.ts';

/** What a check says: findings, and what it could not judge and why. */
export interface Verdict {
  findings: ChainFinding[];
  notJudged: string[];
}

export type Check = (resolved: Resolved) => Verdict;

export const FINE: Verdict = { findings: [], notJudged: [] };

export const found = (finding: ChainFinding): Verdict => ({ findings: [finding], notJudged: [] });

export const notJudged = (what: string, needs: string): Verdict => ({
  findings: [],
  notJudged: [`${what}: needs ${needs}`],
});

/** Cautions of the work that mends a finding. */
export const AT_TRANSDUCER = ACT_CAUTIONS['fit-pressure-sensor'];
export const AT_TRANSFORMER = ACT_CAUTIONS['fit-current-clamp'];
