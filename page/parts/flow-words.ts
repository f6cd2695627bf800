import type { WellNow } from '../../src/model/well-now.ts';
import { type Figures, full, known } from '../../src/report/figures.ts';
import { SAY } from '../words.ts';

/** Flow with its doubt; where it cannot be told from none, that. `short`: without the ±. */
export function flowWords(now: WellNow, figures: Figures, short = false): string {
  const { flowM3PerS: value, flowM3PerSStd: std } = now;
  if (value === null) return short ? '—' : SAY.figures.plainNotKnown;
  if (value <= 2 * (std ?? 0)) return short ? SAY.figures.none : SAY.figures.noFlow;
  return (short ? known : full)({ value, std }, 'flow', figures);
}
