import type { RunEntry } from '../../src/model/study.ts';
import { askAll } from './api.ts';

const DAY_S = 86_400;
/** So far back the book is asked at first, and twice as far each time while it has too few. */
const FIRST_DAYS = 20;

/**
 * The last runs that start before a moment: at least `wanted` of them, or all there are. By time.
 */
export async function runsBefore(
  wellId: string,
  span: { firstS: number; toS: number; wanted: number },
): Promise<RunEntry[]> {
  const { firstS, toS, wanted } = span;
  for (let days = FIRST_DAYS; ; days *= 2) {
    const fromS = toS - days * DAY_S;
    const runs = await askAll<RunEntry>(wellId, 'runs', { fromS, toS });
    if (runs.length >= wanted || fromS <= firstS) return runs;
  }
}
