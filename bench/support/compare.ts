import type { Study } from '../../src/model/study.ts';

/** Truth of a log, in the form of `rehearse` and of the sample logs. */
export interface Truth {
  /** When the first fault began; null on a sound well. */
  onset?: string | null;
  days: {
    date: string;
    used_gal: number;
    leaked_gal: number;
    ran_back_gal: number;
    pumped_gal: number;
    /** Of wells only: a household's demand has no level. */
    static_level_ft?: number;
    deepest_level_ft?: number;
  }[];
  runs: { start: string; stop: string | null; pumped_gal: number }[];
}

export interface Comparison {
  /** Error of daily use, percent of the truth, of days that the log covers whole. */
  dayErrorsPercent: number[];
  /** Half width of the 95 % interval of the same days, percent of the truth. */
  dayWidthsPercent: number[];
  daysHeld: number;
  /** Days that the log covers whole and for which the study says that use is not known. */
  daysUnknown: number;
  runsTrue: number;
  runsFound: number;
  /** Runs of the study that meet no true run. */
  runsInvented: number;
  /** Runs of the study beyond the first that belong to one true run. */
  runsSplit: number;
  /** True runs found only within a run of the study that belongs to another. */
  runsMerged: number;
  startErrorsS: number[];
  stopErrorsS: number[];
  /** Error of the water of one run, percent of the truth. */
  runErrorsPercent: number[];
}

const GALLON_M3 = 0.003785411784;
const WHOLE_DAY_S = 86_000;
/** Percent of less than this says nothing. */
const LEAST_GAL = 1;
const SIDES_95 = 1.96;

/**
 * Holds a study against the truth. A run is found if one of the study's meets it within `nearS`.
 * On a sick well only days after the fault began count, and not the day it began.
 */
export function compare(study: Study, truth: Truth, nearS: number): Comparison {
  const out: Comparison = {
    dayErrorsPercent: [],
    dayWidthsPercent: [],
    daysHeld: 0,
    daysUnknown: 0,
    runsTrue: truth.runs.length,
    runsFound: 0,
    runsInvented: 0,
    runsSplit: 0,
    runsMerged: 0,
    startErrorsS: [],
    stopErrorsS: [],
    runErrorsPercent: [],
  };
  compareDays(study, truth, out);
  compareRuns(study, truth, nearS, out);
  return out;
}

function compareDays(study: Study, truth: Truth, out: Comparison): void {
  const afterDate = truth.onset?.slice(0, 10) ?? '';
  const trueDays = new Map(truth.days.map((day) => [day.date, day.used_gal]));
  for (const day of study.days) {
    const realGal = trueDays.get(day.date);
    if (realGal === undefined || realGal <= LEAST_GAL || day.date <= afterDate) continue;
    if (day.coveredS <= WHOLE_DAY_S) continue;
    if (day.usedM3 === null || day.usedM3Std === null) {
      out.daysUnknown += 1;
      continue;
    }
    const errorGal = day.usedM3 / GALLON_M3 - realGal;
    const widthGal = (SIDES_95 * day.usedM3Std) / GALLON_M3;
    out.dayErrorsPercent.push((100 * errorGal) / realGal);
    out.dayWidthsPercent.push((100 * widthGal) / realGal);
    if (Math.abs(errorGal) <= widthGal) out.daysHeld += 1;
  }
}

interface Spell {
  startS: number;
  stopS: number;
}

function spellOf(run: { start: string; stop: string | null }): Spell {
  const seconds = (instant: string): number => Date.parse(instant) / 1000;
  return { startS: seconds(run.start), stopS: run.stop === null ? Infinity : seconds(run.stop) };
}

/** How long two spells share; below zero, how far they are apart. */
const sharedS = (a: Spell, b: Spell): number =>
  Math.min(a.stopS, b.stopS) - Math.max(a.startS, b.startS);

/** For each run of the study, the true run it shares most with, -1 if none is within `nearS`. */
function partnersOf(ours: Spell[], reals: Spell[], nearS: number): number[] {
  let from = 0;
  return ours.map((our) => {
    while (from < reals.length && reals[from]!.stopS < our.startS - nearS) from += 1;
    let best = -1;
    let mostS = -nearS;
    for (let i = from; i < reals.length && reals[i]!.startS <= our.stopS + nearS; i++) {
      const here = sharedS(our, reals[i]!);
      if (here < mostS) continue;
      mostS = here;
      best = i;
    }
    return best;
  });
}

function compareRuns(study: Study, truth: Truth, nearS: number, out: Comparison): void {
  const ours = study.runs.map(spellOf);
  const reals = truth.runs.map(spellOf);
  const partners = partnersOf(ours, reals, nearS);
  out.runsInvented = partners.filter((partner) => partner < 0).length;
  const own = reals.map((): number[] => []);
  for (const [k, partner] of partners.entries()) if (partner >= 0) own[partner]!.push(k);
  for (const [i, mine] of own.entries()) {
    const real = reals[i]!;
    if (mine.length === 0) {
      if (!ours.some((our) => sharedS(our, real) >= -nearS)) continue;
      out.runsMerged += 1;
    }
    out.runsFound += 1;
    if (mine.length === 0) continue;
    out.runsSplit += mine.length - 1;
    const best = mine.reduce((a, b) => (sharedS(ours[b]!, real) > sharedS(ours[a]!, real) ? b : a));
    measure(study, truth, { ours: ours[best]!, real, best, i }, out);
  }
}

function measure(
  study: Study,
  truth: Truth,
  pair: { ours: Spell; real: Spell; best: number; i: number },
  out: Comparison,
): void {
  out.startErrorsS.push(pair.ours.startS - pair.real.startS);
  const stopErrorS = pair.ours.stopS - pair.real.stopS;
  if (Number.isFinite(stopErrorS)) out.stopErrorsS.push(stopErrorS);
  const { pumpedM3 } = study.runs[pair.best]!;
  const realGal = truth.runs[pair.i]!.pumped_gal;
  if (pumpedM3 !== null && realGal > LEAST_GAL)
    out.runErrorsPercent.push(100 * (pumpedM3 / GALLON_M3 / realGal - 1));
}
