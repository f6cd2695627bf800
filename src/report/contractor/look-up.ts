import { CAUTIONS } from '../../model/cautions.ts';
import { OWNER_TESTS } from '../../model/owner-tests.ts';
import type { Study } from '../../model/study.ts';
import type { Equipment, Well } from '../../model/well.ts';
import { equipmentRows } from '../equipment-rows.ts';
import { type Figures, percent } from '../figures.ts';
import { evidenceText } from '../findings-text.ts';
import { faultWords } from '../head.ts';
import { localMoment } from '../moments.ts';
import { testSentences } from '../tests-done.ts';
import { TREND_DAYS } from './charts.ts';
import { latestTests, shownCautions, shownFindings, telling, text } from './chosen.ts';
import type { Block, Part } from './sheet.ts';
import type { ThenNow } from './spans.ts';
import { thenNowRows } from './then-now-rows.ts';
import { CONTRACTOR } from './words.ts';

/** A file that the figures can be worked out again from. */
export interface DataFile {
  name: string;
  what: string;
  sha256: string;
}

/** What is looked up once the page was read: every figure, words in full, where the data are. */
export function lookUpParts(
  { study, well, data }: { study: Study; well: Well; data: readonly DataFile[] },
  compared: ThenNow,
  figures: Figures,
): Part[] {
  return [
    comparison(compared, study, figures),
    evidence(study, figures),
    tests(study, figures),
    card(well),
    sensors(study, well),
    cautions(study),
    dataOf(data),
  ].filter(({ blocks }) => blocks.length > 0);
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

/** Most of one finding. */
const MOST_EVIDENCE = 3;

/** What was seen, with how far each moves the odds, and what looks the same. */
function evidence(study: Study, figures: Figures): Part {
  const blocks = shownFindings(study).map(
    (finding): Block => ({
      kind: 'item',
      title: faultWords(finding.fault),
      says: [
        ...telling(finding)
          .slice(0, MOST_EVIDENCE)
          .map((one) => evidenceText(one, finding.fault, figures)),
        ...(finding.alike === null ? [] : [finding.alike.says]),
      ],
    }),
  );
  return { title: CONTRACTOR.evidence, blocks };
}

function tests(study: Study, figures: Figures): Part {
  const items = latestTests(study.tests).map((test) => {
    const when = localMoment(test.start, figures.zone);
    const says = testSentences(test, figures).join(' ');
    return CONTRACTOR.test(when, OWNER_TESTS[test.test].name, says);
  });
  return {
    title: CONTRACTOR.testsInFull,
    blocks: items.length === 0 ? [] : [{ kind: 'list', items }],
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
  // One that ended with its sensor calibrates nothing any more.
  const calibrated = (['pressure', 'current'] as const).map((channel) => {
    const inForce = well.calibrations.filter(
      (one) => one.channel === channel && one.untilS === null,
    );
    const last = inForce.toSorted((a, b) => a.fromS - b.fromS).at(-1);
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

function cautions(study: Study): Part {
  return {
    title: CONTRACTOR.cautionsInFull,
    blocks: [{ kind: 'cautions', items: shownCautions(study).map((id) => CAUTIONS[id]) }],
  };
}

function dataOf(files: readonly DataFile[]): Part {
  const items = files.map(({ name, what, sha256 }) => CONTRACTOR.file(name, what, sha256));
  return { title: CONTRACTOR.data, blocks: [{ kind: 'list', items }, text(CONTRACTOR.dataNote)] };
}
