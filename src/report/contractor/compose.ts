import { ACT_CAUTIONS, CAUTIONS, type CautionId } from '../../model/cautions.ts';
import { OWNER_TESTS } from '../../model/owner-tests.ts';
import type { FindingEntry, Study } from '../../model/study.ts';
import type { Equipment, Well } from '../../model/well.ts';
import { equipmentRows } from '../equipment-rows.ts';
import { type Figures, figuresOf, full, percent } from '../figures.ts';
import { cautionsOf, evidenceText } from '../findings-text.ts';
import { faultWords, openFindings } from '../head.ts';
import { localMoment, unixS } from '../moments.ts';
import { testSentences } from '../tests-done.ts';
import { type Overlaid, overlayCharts, overlayNote, TREND_DAYS, trendCharts } from './charts.ts';
import type { Block, Part, Sheet } from './sheet.ts';
import { type ThenNow, thenNow } from './spans.ts';
import { thenNowRows } from './then-now-rows.ts';
import { CONTRACTOR } from './words.ts';

/** A file that the figures can be worked out again from. */
export interface DataFile {
  name: string;
  what: string;
  sha256: string;
}

export interface ContractorInput {
  study: Study;
  well: Well;
  overlaid: Overlaid;
  /** As typed; '' where nothing was. */
  complaint: string;
  by: string;
  /** RFC 3339. */
  made: string;
  data: DataFile[];
}

const MOST_FINDINGS = 3;
/** Of the first finding, and of each other one. */
const EVIDENCE = [3, 1] as const;
const MOST_TESTS = 4;
const MOST_OVER = 3;

/** One page for somebody who was not there, all of it from what was measured. */
export function contractorSheet(input: ContractorInput): Sheet {
  const { study, well, made, by } = input;
  const figures = figuresOf(study, well);
  const { span } = study;
  const moment = (at: string) => localMoment(at, figures.zone);
  const compared = thenNow(study, well);
  return {
    paper: well.units === 'us' ? 'letter' : 'a4',
    title: CONTRACTOR.title(well.name),
    under: [
      CONTRACTOR.made(moment(made), by),
      CONTRACTOR.record(moment(span.from), moment(span.to), figures.zone),
    ],
    parts: [
      complaint(input),
      findings(study, figures),
      comparison(compared, study, figures),
      charts(input, figures),
      tests(study, well, figures),
      toMeasure(study, well),
      card(well),
      sensors(study, well),
      cautions(study),
      data(input.data),
    ],
    foot: CONTRACTOR.foot,
  };
}

/** In one paragraph: lines cost the room that findings need. */
function complaint({ complaint: typed }: ContractorInput): Part {
  const says = typed.replaceAll(/\s+/g, ' ').trim();
  return {
    title: CONTRACTOR.complaint,
    blocks: [{ kind: 'quoted', says: says === '' ? null : says }],
  };
}

function findings(study: Study, figures: Figures): Part {
  const open = openFindings(study);
  const shown = open
    .slice(0, MOST_FINDINGS)
    .map((finding, i) => item(finding, i === 0 ? EVIDENCE[0] : EVIDENCE[1], figures));
  const rest = open.length - shown.length;
  const blocks: Block[] = open.length === 0 ? [text(CONTRACTOR.noFindings)] : shown;
  if (rest > 0) blocks.push(text(CONTRACTOR.more(rest)));
  const over = overLately(study, figures);
  if (over.length > 0) blocks.push(text(CONTRACTOR.over(over.join('; '))));
  return { title: CONTRACTOR.findings, blocks };
}

/** What stood in the last days of the record and is over, the latest first. */
function overLately({ findings: all, span }: Study, { zone }: Figures): string[] {
  const fromS = unixS(span.to) - TREND_DAYS * 86_400;
  const date = (at: string) => localMoment(at, zone).slice(0, 10);
  return all
    .filter(({ urgency, replacedBy }) => urgency !== 'note' && replacedBy === null)
    .flatMap(({ fault, since, cleared }) =>
      cleared === null || unixS(cleared) < fromS ? [] : [{ fault, since, cleared }],
    )
    .sort((a, b) => unixS(b.cleared) - unixS(a.cleared))
    .slice(0, MOST_OVER)
    .map(({ fault, since, cleared }) =>
      CONTRACTOR.overOne(faultWords(fault), date(since), date(cleared)),
    );
}

const text = (says: string): Block => ({ kind: 'text', says });

function item(finding: FindingEntry, mostEvidence: number, figures: Figures): Block {
  const { fault, probability, since, evidence, instead, nextTest, alike } = finding;
  const others = instead
    .filter((other) => other.probability >= 0.005)
    .slice(0, 3)
    .map((other) => `${faultWords(other.fault)} ${percent(other.probability)}`);
  return {
    kind: 'item',
    title: CONTRACTOR.finding(faultWords(fault), percent(probability)),
    says: [
      CONTRACTOR.since(localMoment(since, figures.zone)),
      ...evidence.slice(0, mostEvidence).map((one) => evidenceText(one, fault, figures)),
      ...(others.length === 0 ? [] : [CONTRACTOR.instead(others.join('; '))]),
      ...(alike === null ? [] : [alike.says]),
      nextTest === null
        ? CONTRACTOR.wouldNothing
        : CONTRACTOR.would(OWNER_TESTS[nextTest].name, OWNER_TESTS[nextTest].takes),
    ],
  };
}

function comparison(compared: ThenNow, study: Study, figures: Figures): Part {
  const { past, now, service, isAcross } = compared;
  const heads = [
    CONTRACTOR.quantity,
    head(CONTRACTOR.past, past, figures) ?? CONTRACTOR.noThen,
    head(CONTRACTOR.now, now, figures) ?? CONTRACTOR.notKnown,
  ];
  const did = service?.did ?? '';
  const note = isAcross ? CONTRACTOR.across : did === '' ? '' : CONTRACTOR.unchanged(did);
  return {
    title: CONTRACTOR.thenNow,
    blocks: [
      { kind: 'table', heads, rows: thenNowRows(compared, study, figures) },
      text(`${CONTRACTOR.spread} ${note}`.trim()),
    ],
  };
}

/** From the first to the last day of what is compared. */
function head(
  says: (from: string, to: string) => string,
  { runs, days }: ThenNow['now'],
  { zone }: Figures,
): string | null {
  const dates = [
    ...runs.map(({ start }) => localMoment(start, zone).slice(0, 10)),
    ...days.map(({ date }) => date),
  ].sort();
  return dates.length === 0 ? null : says(dates[0]!, dates.at(-1)!);
}

function charts({ study, well, overlaid }: ContractorInput, figures: Figures): Part {
  const overlays = overlayCharts(overlaid, figures);
  const trends = trendCharts(study, well, figures);
  const blocks: Block[] = [];
  if (overlays.length > 0)
    blocks.push({ kind: 'charts', charts: overlays, note: overlayNote(overlaid, figures) });
  if (trends.length > 0)
    blocks.push({ kind: 'charts', charts: trends, note: CONTRACTOR.trendNote(TREND_DAYS) });
  return { title: CONTRACTOR.overlays, blocks };
}

function tests(study: Study, well: Well, figures: Figures): Part {
  const buckets = well.bucketTests.map(({ startS, volumeM3, volumeM3Std }) => ({
    startS,
    name: OWNER_TESTS.bucket.name,
    says: [CONTRACTOR.bucket(full({ value: volumeM3, std: volumeM3Std }, 'volume', figures))],
  }));
  const others = study.tests.map((test) => ({
    startS: unixS(test.start),
    name: OWNER_TESTS[test.test].name,
    says: testSentences(test, figures),
  }));
  const all = [...buckets, ...others].sort((a, b) => b.startS - a.startS).slice(0, MOST_TESTS);
  const items = all.map(({ startS, name, says }) => {
    const when = localMoment(new Date(startS * 1000).toISOString(), figures.zone);
    return `${when} ${name}: ${says.join(' ')}`;
  });
  return {
    title: CONTRACTOR.tests,
    blocks: [items.length === 0 ? text(CONTRACTOR.noTests) : { kind: 'list', items }],
  };
}

/** What decides much and no reading can tell; what this device does measure is left out. */
function toMeasure({ span, tests: done }: Study, { equipment }: Well): Part {
  const { items } = CONTRACTOR;
  const sends = (channel: string) => (span.readings[channel] ?? 0) > 0;
  const isSounded = done.some(({ test, unusable }) => test === 'sounding' && unusable === null);
  const list = [
    ...(sends('mains') ? [] : [items.volts]),
    items.megohm,
    ...(equipment.motor === '2-wire' || equipment.motor === 'three-phase' ? [] : [items.capacitor]),
    ...(sends('current-peak') && sends('start-time') ? [] : [items.start]),
    ...(isSounded ? [] : [items.level]),
    items.quality,
  ];
  return {
    title: CONTRACTOR.measure,
    blocks: [{ kind: 'list', items: list }, text(CONTRACTOR.beforePulling)],
  };
}

/** The equipment as it is since the last service, each with where it comes from. */
function card({ equipment, services, units }: Well): Part {
  const now: Equipment = Object.assign({}, equipment, ...services.map((service) => service.now));
  const rows = equipmentRows(now, units);
  const known = rows.flatMap(({ name, value, source }) =>
    value === null ? [] : [`${name} ${value} (${source})`],
  );
  const words = [now.pumpKind, now.motor, now.pipeMaterial].filter((word) => word !== null);
  const not = rows.filter(({ value }) => value === null).map(({ name }) => name);
  return {
    title: CONTRACTOR.card,
    blocks: [
      text(`${[...words, ...known].join('; ') || CONTRACTOR.nothing}.`),
      ...(not.length === 0 ? [] : [text(CONTRACTOR.cardNot(not.join(', ')))]),
    ],
  };
}

function sensors(study: Study, well: Well): Part {
  const calibrated = (['pressure', 'current'] as const).map((channel) => {
    const last = well.calibrations.filter((one) => one.channel === channel).at(-1);
    if (last === undefined) return CONTRACTOR.asSent(channel);
    const date = localMoment(new Date(last.fromS * 1000).toISOString(), well.timeZone).slice(0, 10);
    return CONTRACTOR.calibrated(channel, date, last.points.length);
  });
  const days = study.days.slice(-TREND_DAYS);
  const coveredS = days.reduce((sum, day) => sum + Math.min(day.coveredS, 86_400), 0);
  const aside = Object.values(study.span.setAside).reduce((sum, count) => sum + count, 0);
  const items = [
    ...calibrated,
    ...(days.length === 0
      ? []
      : [CONTRACTOR.covered(percent(coveredS / (86_400 * days.length)), days.length)]),
    CONTRACTOR.setAside(aside),
  ];
  return { title: CONTRACTOR.sensors, blocks: [text(`${items.join('; ')}.`)] };
}

/** Those of what is found, and of opening what a contractor opens. */
function cautions(study: Study): Part {
  const ids = new Set<CautionId>([
    ...openFindings(study).slice(0, MOST_FINDINGS).flatMap(cautionsOf),
    ...ACT_CAUTIONS.electrician,
    ...ACT_CAUTIONS['read-results'],
  ]);
  return {
    title: CONTRACTOR.cautions,
    blocks: [{ kind: 'cautions', items: [...ids].map((id) => CAUTIONS[id]) }],
  };
}

function data(files: readonly DataFile[]): Part {
  const items = files.map(({ name, what, sha256 }) => CONTRACTOR.file(name, what, sha256));
  return { title: CONTRACTOR.data, blocks: [{ kind: 'list', items }, text(CONTRACTOR.dataNote)] };
}
