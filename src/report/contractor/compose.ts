import { OWNER_TESTS } from '../../model/owner-tests.ts';
import type { FindingEntry, Study } from '../../model/study.ts';
import type { Well } from '../../model/well.ts';
import { type Figures, figuresOf, full, percent } from '../figures.ts';
import { seenText } from '../findings-text.ts';
import { faultWords, openFindings } from '../head.ts';
import { localMoment, unixS } from '../moments.ts';
import { speaksAgainst, testSentences } from '../tests-done.ts';
import { type Overlaid, overlayCharts, overlayNote, TREND_DAYS, trendCharts } from './charts.ts';
import { latestTests, shownCautions, shownFindings, telling, text } from './chosen.ts';
import { type DataFile, lookUpParts } from './look-up.ts';
import { type Block, type Part, type Sheet, textsOf } from './sheet.ts';
import { thenNow } from './spans.ts';
import { CONTRACTOR } from './words.ts';

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

const MOST_OVER = 3;
const MOST_EXCLUDED = 4;
/** Of the first finding; one of each other. The rest is looked up. */
const EVIDENCE = [2];

/** One page for somebody who was not there, all of it from what was measured. */
export function contractorSheet(input: ContractorInput): Sheet {
  const { study, well, made, by } = input;
  const figures = figuresOf(study, well);
  const { span } = study;
  const moment = (at: string) => localMoment(at, figures.zone);
  const parts = [
    complaint(input),
    findings(study, figures),
    charts(input, figures),
    tests(study, well, figures),
    toMeasure(study, well),
    cautions(study),
  ];
  const lookUp = lookUpParts(input, thenNow(study, well), figures);
  return {
    paper: well.units === 'us' ? 'letter' : 'a4',
    title: CONTRACTOR.title(well.name),
    under: [
      CONTRACTOR.made(moment(made), by),
      CONTRACTOR.record(moment(span.from), moment(span.to), figures.zone),
    ],
    ...{ parts, lookUp, lookUpTitle: CONTRACTOR.lookUp },
    isDense: lettersIn(parts) > A_PAGE.read || lettersIn(lookUp) > A_PAGE.lookedUp,
    foot: CONTRACTOR.foot,
  };
}

/** Letters that a page holds at its usual size, with room for the charts: by trial. */
const A_PAGE = { read: 2900, lookedUp: 6300 };

const lettersIn = (parts: readonly Part[]): number => textsOf(parts).join(' ').length;

/** In one paragraph: lines cost the room that findings need. */
function complaint({ complaint: typed }: ContractorInput): Part {
  const says = typed.replaceAll(/\s+/g, ' ').trim();
  return {
    title: CONTRACTOR.complaint,
    blocks: [{ kind: 'quoted', says: says === '' ? null : says }],
  };
}

function findings(study: Study, figures: Figures): Part {
  const shown = shownFindings(study);
  const blocks: Block[] = shown.map((finding, i) => item(finding, EVIDENCE[i] ?? 1, figures));
  if (shown.length === 0) blocks.push(text(CONTRACTOR.noFindings));
  const rest = openFindings(study).length - shown.length;
  if (rest > 0) blocks.push(text(CONTRACTOR.more(rest)));
  for (const says of excluded(study)) blocks.push(text(says));
  const over = overLately(study, figures);
  if (over.length > 0) blocks.push(text(CONTRACTOR.over(over.join('; '))));
  return { title: CONTRACTOR.findings, blocks };
}

/** What tests made since speak against, but for what is shown or may be. */
function excluded(study: Study): string[] {
  const shown = shownFindings(study);
  const sinceS = Math.max(0, ...shown.map(({ since }) => unixS(since)));
  const left = new Set(
    shown.flatMap(({ fault, instead }) => [
      fault,
      ...instead.filter(mayBe).map((other) => other.fault),
    ]),
  );
  return latestTests(study.tests).flatMap((test) => {
    if (test.unusable !== null || unixS(test.start) < sinceS) return [];
    const out = speaksAgainst(test).filter((fault) => !left.has(fault));
    for (const fault of out) left.add(fault);
    const names = out.slice(0, MOST_EXCLUDED).map(faultWords).join('; ');
    return out.length === 0 ? [] : [CONTRACTOR.excluded(OWNER_TESTS[test.test].name, names)];
  });
}

/** At half a percent and more. */
const mayBe = ({ probability }: { probability: number }) => probability >= 0.005;

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

function item(finding: FindingEntry, mostEvidence: number, figures: Figures): Block {
  const { fault, probability, since, instead, nextTest } = finding;
  const others = instead
    .filter(mayBe)
    .slice(0, 3)
    .map((other) => `${faultWords(other.fault)} ${percent(other.probability)}`);
  return {
    kind: 'item',
    title: CONTRACTOR.finding(faultWords(fault), percent(probability)),
    says: [
      CONTRACTOR.since(localMoment(since, figures.zone)),
      ...telling(finding)
        .slice(0, mostEvidence)
        .map((one) => seenText(one, figures)),
      ...(others.length === 0 ? [] : [CONTRACTOR.instead(others.join('; '))]),
      nextTest === null
        ? CONTRACTOR.wouldNothing
        : CONTRACTOR.would(OWNER_TESTS[nextTest].name, OWNER_TESTS[nextTest].takes),
    ],
  };
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

/** Each with what it came to first; the rest of it is looked up. */
function tests(study: Study, well: Well, figures: Figures): Part {
  const buckets = well.bucketTests.map(({ startS, volumeM3, volumeM3Std }) => ({
    start: new Date(startS * 1000).toISOString(),
    name: OWNER_TESTS.bucket.name,
    says: CONTRACTOR.bucket(full({ value: volumeM3, std: volumeM3Std }, 'volume', figures)),
  }));
  const others = study.tests.map((test) => ({
    start: test.start,
    name: OWNER_TESTS[test.test].name,
    says: testSentences(test, figures)[0] ?? '',
  }));
  const items = latestTests([...buckets, ...others]).map(({ start, name, says }) =>
    CONTRACTOR.test(localMoment(start, figures.zone), name, says),
  );
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

/** In short, each beside what it is about; in full where it is looked up. */
function cautions(study: Study): Part {
  const short = shownCautions(study).map((id) => CONTRACTOR.cautionHeads[id]);
  return {
    title: CONTRACTOR.cautions,
    blocks: [{ kind: 'cautions', items: [CONTRACTOR.beware(short.join('; '))] }],
  };
}
