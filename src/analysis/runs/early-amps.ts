/** Readings of the current from before it was known what "on" means. */
export interface EarlyAmps {
  timeS: number[];
  currentA: number[];
}

/**
 * As many as it takes to learn the threshold once both off and on were seen. Where there are more,
 * those after are of one kind: the last stands for them.
 */
const KEPT = 10;

export function createEarlyAmps(): EarlyAmps {
  return { timeS: [], currentA: [] };
}

export function keepEarly(early: EarlyAmps, timeS: number, currentA: number): void {
  const place = Math.min(early.timeS.length, KEPT - 1);
  early.timeS[place] = timeS;
  early.currentA[place] = currentA;
}
