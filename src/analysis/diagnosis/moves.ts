import type { Moves } from '../../model/study.ts';
import type { Measure } from './measures.ts';
import type { Verdict } from './odds.ts';

/** How far a measure moves the odds of the first fault, over a sound well and over the next. */
export function movesOf(measure: Measure, { faults, speaks, rival }: Verdict): Moves {
  const weightIn = (list: Verdict['speaks']): number =>
    list.find((one) => one.measure === measure)?.weight ?? 0;
  const logOverSound = weightIn(speaks);
  return {
    fault: faults[0]!.fault,
    logOverSound,
    rival: rival?.fault ?? null,
    logOverRival: rival === null ? null : logOverSound - weightIn(rival.speaks),
  };
}
