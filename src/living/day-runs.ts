import { middleAndWidth, type Spread } from '../base/median.ts';
import { localDate } from '../base/zone.ts';
import type { DayEntry, RunEntry } from '../model/study.ts';

/** What the runs of a day were like: their middle, and how far they lie apart. */
export interface DayRuns {
  cutInPaGauge: Spread | null;
  cutOutPaGauge: Spread | null;
  meanCurrentA: Spread | null;
}

/** A day as the store has it. Of an older version only the record may be left, without runs. */
export interface DayAlive extends DayEntry {
  open: boolean;
  runs?: DayRuns;
}

/** What the runs that start on a date of the zone were like. */
export function runsByDate(runs: readonly RunEntry[], zone: string): (date: string) => DayRuns {
  const byDate = Map.groupBy(runs, ({ start }) => localDate(zone, Date.parse(start) / 1000));
  return (date) => likeOf(byDate.get(date) ?? []);
}

function likeOf(runs: readonly RunEntry[]): DayRuns {
  const of = (key: keyof DayRuns): Spread | null => {
    const values = runs.flatMap((run) => run[key] ?? []);
    return values.length === 0 ? null : middleAndWidth(values);
  };
  return {
    cutInPaGauge: of('cutInPaGauge'),
    cutOutPaGauge: of('cutOutPaGauge'),
    meanCurrentA: of('meanCurrentA'),
  };
}
