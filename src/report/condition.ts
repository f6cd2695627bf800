import { OWNER_TESTS } from '../model/owner-tests.ts';
import type { DayEntry, DrawEntry, PumpPoint, Study, UnknownEntry } from '../model/study.ts';
import {
  type Estimate,
  type Figures,
  full,
  fullVolume,
  gauge,
  known,
  volumeOf,
} from './figures.ts';
import { hanging, paragraph } from './layout.ts';
import { localMoment } from './moments.ts';
import { WORDS } from './words.ts';

/** How many draws, and the largest of them. */
export function drawsSummary(draws: DrawEntry[], figures: Figures): string[] {
  if (draws.length === 0) return paragraph(WORDS.noDraws);
  const volume = (draw: DrawEntry) => volumeOf(draw, 'volume', figures);
  const size = (draw: DrawEntry) => volume(draw).value ?? Number.NEGATIVE_INFINITY;
  const largest = draws.reduce((a, b) => (size(b) > size(a) ? b : a));
  const count = WORDS.draws(draws.length.toLocaleString('en-US'));
  if (volume(largest).value === null) return paragraph(count);
  const flow = largest.peakFlowM3PerS;
  const told = WORDS.largestDraw(
    fullVolume(volume(largest), figures),
    localMoment(largest.start, figures.zone),
    localMoment(largest.stop, figures.zone),
    flow === null ? '' : gauge(flow, 'flow', figures),
  );
  return paragraph(`${count} ${told}`);
}

/** "Not known: do the bucket test", with the reason the study gives. */
export function notKnown(entry: UnknownEntry | undefined): string {
  if (entry === undefined) return WORDS.notKnown;
  const test =
    entry.test === null ? '' : `: ${WORDS.doTest(entry.test, OWNER_TESTS[entry.test].name)}`;
  return `${WORDS.notKnown}${test} ${WORDS.because(entry.because)}`;
}

/** Where the water stands when the pump runs, what well and pump give, and what that costs. */
export function condition(study: Study, figures: Figures): string[] {
  const { condition: names } = WORDS;
  const line = (label: string, text: string) => hanging(label, text, { indent: 2, hang: 19 });
  const unknown = (field: string) =>
    notKnown(study.unknown.find((entry) => entry.field === `days.${field}`));
  const drop = greatest(study.days, (d) => ({ value: d.levelDropM, std: d.levelDropMStd }));
  const level = greatest(study.days, (d) => ({ value: d.pumpingLevelM, std: d.pumpingLevelMStd }));
  const capacity = latest(study.days, (d) => ({
    value: d.specificCapacityM2PerS,
    std: d.specificCapacityM2PerSStd,
  }));
  const index = latest(study.days, (d) => ({ value: d.pumpIndex, std: d.pumpIndexStd }));
  const say = (
    found: Found | undefined,
    field: string,
    words: (figure: string, date: string) => string,
    kind: 'length' | 'specific-capacity' | 'fraction',
  ) =>
    found === undefined
      ? unknown(field)
      : `${words(full(found.estimate, kind, figures), found.day.date)}.`;
  return [
    ...line(
      names.levelDrop,
      slack(drop?.estimate)
        ? `${WORDS.slackLevel(atMost(drop!.estimate, 'length', figures))}.`
        : say(drop, 'levelDropM', WORDS.deepest, 'length'),
    ),
    ...line(names.pumpingLevel, say(level, 'pumpingLevelM', WORDS.belowGround, 'length')),
    ...line(
      names.specificCapacity,
      say(capacity, 'specificCapacityM2PerS', WORDS.ofDay, 'specific-capacity'),
    ),
    ...line(names.recovery, recoveryWords(study, figures)),
    ...pumpWords(study, figures).flatMap((text, i) => line(i === 0 ? names.pump : '', text)),
    ...line(names.pumpIndex, say(index, 'pumpIndex', WORDS.ofDay, 'fraction')),
    ...(index === undefined ? [] : line('', WORDS.indexNote)),
    ...line(names.energy, energyWords(study.days, figures) ?? unknown('energyPerVolumeJPerM3')),
  ];
}

/** An interval that reaches down to nothing tells no more than its upper end. */
const slack = (estimate: Estimate | undefined): boolean =>
  !!estimate && estimate.value !== null && estimate.value < 2 * (estimate.std ?? 0);

/** Upper end of the 95 % interval, to the digits that its uncertainty allows. */
function atMost({ value, std }: Estimate, kind: 'length' | 'time', figures: Figures): string {
  return known({ value: (value ?? 0) + 1.96 * (std ?? 0), std }, kind, figures);
}

function recoveryWords({ recovery, unknown }: Study, figures: Figures): string {
  const estimate = { value: recovery.recoveryS, std: recovery.recoverySStd };
  if (estimate.value === null)
    return notKnown(unknown.find(({ field }) => field === 'recovery.recoveryS'));
  if (slack(estimate)) return `${WORDS.recoversSoon(atMost(estimate, 'time', figures))}.`;
  return `${WORDS.recovers(full(estimate, 'time', figures))}.`;
}

/** What the pump gives and takes at each tee pressure it was learnt at. */
function pumpWords({ pump, unknown }: Study, figures: Figures): string[] {
  const entry = unknown.find(({ field }) => field === 'pump');
  const given = pump.filter((point) => point.deliveryM3PerS !== null);
  if (given.length === 0) return [notKnown(entry)];
  return given.map((point) => `${pumpPoint(point, figures)}.`);
}

function pumpPoint(point: PumpPoint, figures: Figures): string {
  const flow = { value: point.deliveryM3PerS, std: point.deliveryM3PerSStd };
  const amps = { value: point.currentA, std: point.currentAStd };
  return WORDS.pumpAt(
    full(flow, 'flow', figures),
    gauge(point.pressurePaGauge, 'pressure', figures),
    amps.value === null ? '' : full(amps, 'current', figures),
  );
}

interface Found {
  day: DayEntry;
  estimate: Estimate;
}

const having = (days: DayEntry[], of: (day: DayEntry) => Estimate): Found[] =>
  days.map((day) => ({ day, estimate: of(day) })).filter((found) => found.estimate.value !== null);

const latest = (days: DayEntry[], of: (day: DayEntry) => Estimate): Found | undefined =>
  having(days, of).at(-1);

const greatest = (days: DayEntry[], of: (day: DayEntry) => Estimate): Found | undefined =>
  having(days, of).reduce<Found | undefined>(
    (most, one) => ((one.estimate.value ?? 0) > (most?.estimate.value ?? -1) ? one : most),
    undefined,
  );

function energyWords(days: DayEntry[], figures: Figures): string | null {
  const found = latest(days, (d) => ({
    value: d.energyPerVolumeJPerM3,
    std: d.energyPerVolumeJPerM3Std,
  }));
  if (found === undefined) return null;
  const { day, estimate } = found;
  const figure = WORDS.ofDay(full(estimate, 'energy-per-volume', figures), day.date);
  const floor = day.energyFloorJPerM3;
  if (floor === null || estimate.value === null) return `${figure}.`;
  const least = gauge(floor, 'energy-per-volume', figures);
  const times = estimate.value / floor;
  const clearlyBelow = estimate.value + 2 * (estimate.std ?? 0) < floor;
  const words = clearlyBelow
    ? WORDS.belowFloor(figure, least)
    : WORDS.againstFloor(figure, least, times.toFixed(1));
  return `${words}.`;
}
