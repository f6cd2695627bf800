import type { AtHand } from '../model/knowable.ts';
import type { Pipeline } from './pipeline.ts';
import { channelsUsed, samplingOf } from './sampling-of.ts';

const DAY_S = 86_400;
/** A device that reports on change looks at its sensors about this often [s] (from memory). */
const ON_CHANGE_S = 1;
/** A baseline that is not learnt yet is less than a week, however long it takes. */
const UNLEARNT_DAYS = 6;

/** What this log has to judge faults by: its channels, how often they come, how long it has run. */
export function atHand(pipeline: Pipeline): AtHand {
  const { base } = pipeline.runJudge.watch;
  const days = Number.isNaN(base.fromS) ? 0 : (pipeline.lastS - base.fromS) / DAY_S;
  const told = [samplingOf(pipeline, 'pressure'), samplingOf(pipeline, 'current')].filter(
    (one) => one !== null,
  );
  const sampling = told.map(({ policy, runS, restS }) =>
    policy === 'on-change' ? { runS: ON_CHANGE_S, restS: ON_CHANGE_S } : { runS, restS },
  );
  const longest = (of: (one: { runS: number; restS: number }) => number): number =>
    Math.max(0, ...sampling.map(of).filter((intervalS) => !Number.isNaN(intervalS)));
  return {
    channels: channelsUsed(pipeline),
    runIntervalS: longest(({ runS, restS }) => (Number.isNaN(runS) ? restS : runS)),
    restIntervalS: longest(({ restS }) => restS),
    atSetTimes: told.every(({ policy }) => policy !== 'on-change'),
    baselineDays: base.learnt ? days : Math.min(days, UNLEARNT_DAYS),
    test: null,
  };
}
