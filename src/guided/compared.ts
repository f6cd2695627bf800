import type { DayEntry } from '../model/study.ts';
import type { Pipeline } from '../pipeline/pipeline.ts';
import { studyOf } from '../pipeline/result.ts';

/** One figure under the calibrations in force and under a new one, SI; null where not known. */
export interface Both {
  before: number | null;
  after: number | null;
}

/** What a new calibration does to the last days. */
export interface Compared {
  /** Middle of the runs of these days, Pa gauge and A. */
  cutInPaGauge: Both;
  cutOutPaGauge: Both;
  currentA: Both;
  days: { date: string; usedM3: Both; lossM3: Both; energyJ: Both }[];
}

export function comparedOf(before: Pipeline, after: Pipeline): Compared {
  const [a, b] = [before, after].map((one) =>
    Number.isNaN(one.firstS) ? null : studyOf(one, { setAside: [], told: [] }),
  );
  const middle = (key: 'cutInPaGauge' | 'cutOutPaGauge' | 'meanCurrentA'): Both => ({
    before: middleOf((a?.runs ?? []).map((run) => run[key])),
    after: middleOf((b?.runs ?? []).map((run) => run[key])),
  });
  const dates = [...new Set([...(a?.days ?? []), ...(b?.days ?? [])].map(({ date }) => date))];
  const dayOf = (days: readonly DayEntry[] | undefined, date: string) =>
    days?.find((day) => day.date === date);
  return {
    cutInPaGauge: middle('cutInPaGauge'),
    cutOutPaGauge: middle('cutOutPaGauge'),
    currentA: middle('meanCurrentA'),
    days: dates.sort().map((date) => {
      const [x, y] = [dayOf(a?.days, date), dayOf(b?.days, date)];
      const both = (key: 'usedM3' | 'lossM3' | 'energyJ'): Both => ({
        before: x?.[key] ?? null,
        after: y?.[key] ?? null,
      });
      return { date, usedM3: both('usedM3'), lossM3: both('lossM3'), energyJ: both('energyJ') };
    }),
  };
}

function middleOf(values: readonly (number | null)[]): number | null {
  const known = values.filter((value) => value !== null).sort((a, b) => a - b);
  return known[known.length >> 1] ?? null;
}
