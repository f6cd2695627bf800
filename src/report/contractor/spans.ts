import { type DayEntry, isWhole, type RunEntry, type Study } from '../../model/study.ts';
import type { ServiceRecord, Well } from '../../model/well.ts';
import { localDayAndTime, unixS } from '../moments.ts';
import { isWholeRun } from '../normal-run.ts';

export interface Stretch {
  runs: RunEntry[];
  days: DayEntry[];
}

/** What is compared: how the well was, and how it is. */
export interface ThenNow {
  past: Stretch;
  now: Stretch;
  /** The last service that ended a baseline, where the record holds one. */
  service: ServiceRecord | null;
  /** Then lies before that service, as too little came after it. */
  isAcross: boolean;
}

const MOST_RUNS = 10;
const MOST_DAYS = 7;
const LEAST_RUNS = 8;
const LEAST_BEFORE = 4;

/**
 * The first and the last whole runs and days since the last service that ended a baseline; the last
 * before it and those after it where too few came after.
 */
export function thenNow(study: Study, { services, timeZone }: Well): ThenNow {
  const [fromS, toS] = [unixS(study.span.from), unixS(study.span.to)];
  const within = services.filter(
    ({ onS, resets }) => resets.length > 0 && onS >= fromS && onS <= toS,
  );
  const service = within.at(-1) ?? null;
  const onS = service?.onS ?? fromS;
  const date = localDayAndTime(new Date(onS * 1000).toISOString(), timeZone, 0).day;
  const runs = study.runs.filter(isWholeRun);
  const days = study.days.filter(isWhole);
  const [runsBefore, runsAfter] = parted(runs, ({ start }) => unixS(start) < onS);
  const [daysBefore, daysAfter] = parted(days, (day) => day.date <= date && service !== null);
  const isAcross = runsAfter.length < LEAST_RUNS && runsBefore.length >= LEAST_BEFORE;
  const [thenRuns, nowRuns] = isAcross
    ? [runsBefore.slice(-MOST_RUNS), runsAfter.slice(-MOST_RUNS)]
    : ends(runsAfter, MOST_RUNS);
  const [thenDays, nowDays] = isAcross
    ? [daysBefore.slice(-MOST_DAYS), daysAfter.slice(-MOST_DAYS)]
    : ends(daysAfter, MOST_DAYS);
  return {
    past: { runs: thenRuns, days: thenDays },
    now: { runs: nowRuns, days: nowDays },
    service,
    isAcross,
  };
}

function parted<T>(all: readonly T[], isBefore: (one: T) => boolean): [T[], T[]] {
  return [all.filter(isBefore), all.filter((one) => !isBefore(one))];
}

/** The first and the last so many, none in both; all of few are now. */
function ends<T>(all: readonly T[], most: number): [T[], T[]] {
  if (all.length < 4) return [[], [...all]];
  const count = Math.min(most, Math.floor(all.length / 2));
  return [all.slice(0, count), all.slice(-count)];
}

/** The runs that are laid over each other: the last that has ended, and those of then. */
export function overlaidRuns(
  study: Study,
  { past }: ThenNow,
): { now: RunEntry | null; past: RunEntry[] } {
  const now = study.runs.findLast(({ stop }) => stop !== null) ?? null;
  return { now, past: past.runs.filter((run) => run !== now) };
}
