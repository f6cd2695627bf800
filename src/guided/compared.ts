import { middleAndWidth } from '../base/median.ts';
import type { DayEntry } from '../model/study.ts';
import type { Pipeline } from '../pipeline/pipeline.ts';
import { studyOf } from '../pipeline/result.ts';

/** A figure in SI and its standard uncertainty, null where that is not known. */
export interface Figure {
  value: number;
  std: number | null;
}

/** One figure under the calibrations in force and under a new one; null where not known. */
export interface Both {
  before: Figure | null;
  after: Figure | null;
}

/** What a new calibration does to the last days. */
export interface Compared {
  /** Middle of the runs of these days, Pa gauge and A; how sure the middle is. */
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
        before: figureOf(x, key),
        after: figureOf(y, key),
      });
      return { date, usedM3: both('usedM3'), lossM3: both('lossM3'), energyJ: both('energyJ') };
    }),
  };
}

function figureOf(day: DayEntry | undefined, key: 'usedM3' | 'lossM3' | 'energyJ'): Figure | null {
  const value = day?.[key] ?? null;
  return value === null ? null : { value, std: day?.[`${key}Std`] ?? null };
}

/** Standard error of a median over that of a mean: many of a normal spread, from memory. */
const MEDIAN_TO_MEAN = 1.2533;

/** The middle of the runs [SI], and how sure it is by how far they lie apart. */
function middleOf(values: readonly (number | null)[]): Figure | null {
  const known = values.filter((value) => value !== null);
  if (known.length === 0) return null;
  const { middle, width } = middleAndWidth(known);
  const std = known.length < 3 ? null : (MEDIAN_TO_MEAN * width) / Math.sqrt(known.length);
  return { value: middle, std };
}
