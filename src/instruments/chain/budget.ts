import { studentFactor, TWO_SIGMA } from '../../base/student-t.ts';
import type { Budget, BudgetRow } from './types.ts';

export type BudgetSource = Omit<BudgetRow, 'contribution' | 'share'>;

/**
 * Uncertainty budget of one result from sources that do not depend on each other.
 * `sources`: standard uncertainty of each, its sensitivity and degrees of freedom; `within` [-]
 * the probability of the expanded uncertainty. Returns the rows with their shares, the combined
 * standard uncertainty, its effective degrees of freedom and the expanded one, all in the unit of
 * the result. Source: JCGM 100:2008 (GUM) 5.1.2 equation 10, G.4.1 equation G.2b, 6.2.1.
 */
export function budgetOf(sources: readonly BudgetSource[], within = TWO_SIGMA): Budget {
  const variances = sources.map(({ std, sensitivity }) => (std * sensitivity) ** 2);
  const variance = variances.reduce((sum, one) => sum + one, 0);
  const rows = sources.map((source, i) => ({
    ...source,
    contribution: Math.sqrt(variances[i]!),
    share: variance > 0 ? variances[i]! / variance : 0,
  }));
  const spread = rows.reduce((sum, row) => sum + row.share ** 2 / row.degreesOfFreedom, 0);
  const degreesOfFreedom = spread > 0 ? 1 / spread : Number.POSITIVE_INFINITY;
  const coverage = studentFactor(within, degreesOfFreedom);
  const std = Math.sqrt(variance);
  return { rows, std, degreesOfFreedom, coverage, expanded: coverage * std };
}

/** Standard uncertainty of limits +-a within which all values are as likely (GUM 4.3.7). */
export const ofLimits = (limit: number): number => limit / Math.sqrt(3);

/** Standard uncertainty of +-a reached by a swing of unknown phase (arcsine distribution). */
export const ofSwing = (amplitude: number): number => amplitude / Math.SQRT2;
