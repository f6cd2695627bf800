import { median, middleAndWidth } from '../../base/median.ts';
import { quantile } from '../../base/quantile.ts';
import type { DayEntry, RunEntry, Study } from '../../model/study.ts';
import { levelDrop, lost, pumpIndex, used } from '../day-quantities.ts';
import {
  type Estimate,
  type Figures,
  full,
  fullVolume,
  gauge,
  type Shown,
  volumeOf,
} from '../figures.ts';
import { hoursMinutes, unixS } from '../moments.ts';
import type { Stretch, ThenNow } from './spans.ts';
import { CONTRACTOR } from './words.ts';

const say = CONTRACTOR.rows;
const NONE: Estimate = { value: null, std: null };

/** Rows of name, then, now; those known on neither side are left out. */
export function thenNowRows(of: ThenNow, study: Study, figures: Figures): string[][] {
  const rows = [...runRows(of, figures), ...dayRows(of, figures)];
  return [...rows.filter(isKnown), ...pumpRows(study, figures), startRow(study)];
}

const isKnown = ([, before, now]: string[]) =>
  before !== CONTRACTOR.notKnown || now !== CONTRACTOR.notKnown;

/** The middle of some values, and how far they lie apart. */
function middle(values: readonly number[]): Estimate {
  if (values.length === 0) return NONE;
  const { middle: value, width: std } = middleAndWidth(values);
  return { value, std };
}

/** The same of values with doubts of their own, which they share: never surer than one of them. */
function middleOf(all: readonly Estimate[]): Estimate {
  const known = all.filter((one): one is { value: number; std: number } => one.value !== null);
  if (known.length === 0) return NONE;
  const { value, std } = middle(known.map((one) => one.value));
  return { value, std: Math.max(std ?? 0, median(known.map((one) => one.std ?? 0))) };
}

type Cell = (stretch: Stretch) => string;

const both = (name: string, { past, now }: ThenNow, cell: Cell): string[] => [
  name,
  cell(past),
  cell(now),
];

function runRows(of: ThenNow, figures: Figures): string[][] {
  const ofRuns = (kind: Shown, value: (run: RunEntry) => number | null): Cell => {
    return ({ runs }) => full(middle(runs.flatMap((run) => value(run) ?? [])), kind, figures);
  };
  const time = (lengths: (runs: readonly RunEntry[]) => number[]): Cell => {
    return ({ runs }) => minutes(lengths(runs));
  };
  return [
    both(
      say.cutIn,
      of,
      ofRuns('pressure', (run) => run.cutInPaGauge),
    ),
    both(
      say.cutOut,
      of,
      ofRuns('pressure', (run) => run.cutOutPaGauge),
    ),
    both(say.between, of, ofRuns('pressure', between)),
    both(say.highest, of, ({ runs }) => {
      const all = runs.flatMap(({ cutOutPaGauge }) => cutOutPaGauge ?? []);
      return all.length === 0 ? CONTRACTOR.notKnown : gauge(Math.max(...all), 'pressure', figures);
    }),
    both(say.runS, of, time(lengths)),
    both(
      say.longest,
      of,
      time((runs) => (runs.length === 0 ? [] : [Math.max(...lengths(runs))])),
    ),
    both(say.restS, of, time(rests)),
    both(
      say.current,
      of,
      ofRuns('current', (run) => run.meanCurrentA),
    ),
    both(say.perStart, of, ({ runs }) =>
      fullVolume(middleOf(runs.map((run) => volumeOf(run, 'pumped', figures))), figures),
    ),
  ];
}

const between = ({ cutInPaGauge, cutOutPaGauge }: RunEntry): number | null =>
  cutInPaGauge === null || cutOutPaGauge === null ? null : cutOutPaGauge - cutInPaGauge;

const lengths = (runs: readonly RunEntry[]): number[] =>
  runs.flatMap(({ start, stop }) => (stop === null ? [] : [unixS(stop) - unixS(start)]));

/** From the stop of one to the start of the next; a hole of a day is no rest. */
const rests = (runs: readonly RunEntry[]): number[] =>
  runs.flatMap(({ start }, i) => {
    const stop = runs[i - 1]?.stop;
    const restS = stop == null ? Number.NaN : unixS(start) - unixS(stop);
    return restS > 0 && restS < 86_400 ? [restS] : [];
  });

/** Seconds, minutes or hours; the middle and the spread of most. */
function minutes(all: readonly number[]): string {
  if (all.length === 0) return CONTRACTOR.notKnown;
  const [low, high] = [quantile(all, 0.1), quantile(all, 0.9)];
  const [least, most] = [lengthText(low), lengthText(high)];
  const middle = lengthText(median(all));
  return least === most ? middle : `${middle} (${least} to ${most})`;
}

function lengthText(lengthS: number): string {
  if (lengthS < 90) return `${Math.round(lengthS)} s`;
  if (lengthS < 7200) return `${(lengthS / 60).toPrecision(lengthS < 600 ? 2 : 3)} min`;
  return `${hoursMinutes(lengthS)} h`;
}

function dayRows(of: ThenNow, figures: Figures): string[][] {
  const ofDays = (kind: Shown, value: (day: DayEntry) => Estimate): Cell => {
    return ({ days }) => full(middleOf(days.map(value)), kind, figures);
  };
  const volume = (value: (day: DayEntry, figures: Figures) => Estimate): Cell => {
    return ({ days }) => fullVolume(middleOf(days.map((day) => value(day, figures))), figures);
  };
  const level = ({ pumpingLevelM, pumpingLevelMStd }: DayEntry) => ({
    value: pumpingLevelM,
    std: pumpingLevelMStd,
  });
  const capacity = ({ specificCapacityM2PerS, specificCapacityM2PerSStd }: DayEntry) => ({
    value: specificCapacityM2PerS,
    std: specificCapacityM2PerSStd,
  });
  const energy = ({ energyPerVolumeJPerM3, energyPerVolumeJPerM3Std }: DayEntry) => ({
    value: energyPerVolumeJPerM3,
    std: energyPerVolumeJPerM3Std,
  });
  return [
    both(say.starts, of, ({ days }) => starts(days)),
    both(say.used, of, volume(used)),
    both(say.lost, of, volume(lost)),
    both(say.drop, of, ofDays('length', levelDrop)),
    both(say.level, of, ofDays('length', level)),
    both(say.capacity, of, ofDays('specific-capacity', capacity)),
    both(say.index, of, ofDays('fraction', pumpIndex)),
    both(say.energy, of, ofDays('energy-per-volume', energy)),
  ];
}

function starts(days: readonly DayEntry[]): string {
  if (days.length === 0) return CONTRACTOR.notKnown;
  const all = days.map((day) => day.starts);
  return `${Math.round(median(all))} (${Math.min(...all)} to ${Math.max(...all)})`;
}

/** What the pump gives now at some pressures; the study has no then of it. */
function pumpRows({ pump }: Study, figures: Figures): string[][] {
  return pump.flatMap(({ pressurePaGauge, ...point }) => {
    if (point.deliveryM3PerS === null) return [];
    const flow = full(
      { value: point.deliveryM3PerS, std: point.deliveryM3PerSStd },
      'flow',
      figures,
    );
    const amps = full({ value: point.currentA, std: point.currentAStd }, 'current', figures);
    const name = CONTRACTOR.pumpAt(gauge(pressurePaGauge, 'pressure', figures));
    return [[name, '', point.currentA === null ? flow : CONTRACTOR.taking(flow, amps)]];
  });
}

/** How the motor starts: only a device that sends the peak can tell. */
function startRow({ span }: Study): string[] {
  const sent = (span.readings['current-peak'] ?? 0) + (span.readings['start-time'] ?? 0);
  return [CONTRACTOR.starting, '', sent === 0 ? CONTRACTOR.notRecorded : CONTRACTOR.inData];
}
