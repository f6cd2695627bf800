import type {
  BudgetAt,
  ChainFinding,
  ChainReport,
  ChannelReport,
} from '../../instruments/index.ts';
import { CAUTIONS, type CautionId } from '../../model/cautions.ts';
import {
  figureColumn,
  hanging,
  paragraph,
  section,
  table,
  wordColumn,
} from '../../report/layout.ts';
import { withDigits } from '../../units/digits.ts';
import { displayUnit } from '../../units/format.ts';

type Units = 'us' | 'si';

type ChannelName = ChannelReport['channel'];

/** The check of the measuring chain for people: what is wrong first, then each channel. */
export function chainText(report: ChainReport, units: Units): string[] {
  const { findings, channels, questions, notJudged, assumed } = report;
  return [
    ...section('Measuring chain', [
      ...(findings.length === 0 ? paragraph('Nothing wrong was found with what is told.') : []),
      ...findingLines(findings),
    ]),
    ...channels.flatMap((channel) => channelLines(channel, units)),
    ...section(
      'What the sampling can answer',
      questions.length === 0 ? [] : questionTable(questions),
    ),
    ...section(
      'Not judged',
      notJudged.flatMap((text) => paragraph(text)),
    ),
    ...section(
      'Taken because none was told',
      assumed.flatMap((text) => paragraph(text)),
    ),
    ...section(
      'Before it is fitted',
      report.cautions.flatMap((id) => paragraph(CAUTIONS[id])),
    ),
  ];
}

const DOES: Record<ChainFinding['does'], string> = {
  destroys: 'Destroys',
  misleads: 'Misleads',
  limits: 'Limits',
};

/** A caution that stands just above with another finding is named there, not said again. */
function findingLines(findings: readonly ChainFinding[]): string[] {
  const about = { indent: 2, hang: 10 };
  const said = new Set<CautionId>();
  return findings.flatMap(({ does, says, cautions }) => {
    const fresh = cautions.filter((id) => !said.has(id));
    const again = cautions.filter((id) => said.has(id));
    for (const id of fresh) said.add(id);
    return [
      ...hanging(DOES[does], `${says.charAt(0).toUpperCase()}${says.slice(1)}.`, about),
      ...fresh.flatMap((id) => hanging('Caution', CAUTIONS[id], about)),
      ...(again.length === 0 ? [] : hanging('Caution', `as above: ${again.join(', ')}`, about)),
    ];
  });
}

/** A figure of a channel in the units people see. */
function figure(value: number | null, channel: ChannelName, units: Units, digits = 3): string {
  if (value === null || !Number.isFinite(value)) return 'not known';
  const { scale, unit } = displayUnit(channel, units);
  return `${withDigits(value / scale, digits)} ${unit}`;
}

function channelLines(report: ChannelReport, units: Units): string[] {
  const { channel, links, countsPerUnit, rangeUsed, gain, budgets } = report;
  const { scale, unit } = displayUnit(channel, units);
  const about = { indent: 2, hang: 13 };
  const counts =
    countsPerUnit === null
      ? 'not known'
      : `${withDigits(countsPerUnit * scale, 3)} counts for each ${unit}`;
  const used = rangeUsed === null ? 'not known' : `${Math.round(100 * rangeUsed)} %`;
  const title = channel === 'pressure' ? 'Pressure channel' : 'Current channel';
  return section(title, [
    ...hanging('Chain', links.map(linkWords).join(' -> '), about),
    ...hanging(
      'Counts',
      `${counts}; one count is ${figure(report.resolution, channel, units)}`,
      about,
    ),
    ...hanging('Noise', `${figure(report.noise, channel, units)} rms in one reading`, about),
    ...hanging('Range used', used, about),
    ...(gain === null ? [] : hanging('Gain', `choose ${gain.chosenV} V: ${gain.why}`, about)),
    ...(budgets.length === 0 ? [] : ['', ...budgetLines(budgets, channel, units)]),
  ]);
}

const linkWords = ({ name, lines }: ChannelReport['links'][number]) =>
  lines.length === 0 ? name : `${name} (${lines.join(', ')})`;

/** Expanded uncertainty at each value, then the share of every source (GUM). */
function budgetLines(budgets: readonly BudgetAt[], channel: ChannelName, units: Units): string[] {
  const sources = [...new Set(budgets.flatMap(({ rows }) => rows.map(({ source }) => source)))];
  const share = (budget: BudgetAt, source: string) => {
    const rows = budget.rows.filter((row) => row.source === source);
    const sum = rows.reduce((total, row) => total + row.share, 0);
    if (rows.length === 0) return '-';
    return sum > 0 && sum < 0.005 ? '<1 %' : `${Math.round(100 * sum)} %`;
  };
  const kindOf = (source: string) =>
    budgets.flatMap(({ rows }) => rows).find((row) => row.source === source);
  return [
    ...table([
      wordColumn('Uncertainty (GUM)', ['value', '95 % uncertainty', ...sources]),
      wordColumn('Type', ['', '', ...sources.map((source) => kindOf(source)?.kind ?? '')]),
      wordColumn('Shape', ['', '', ...sources.map((source) => kindOf(source)?.distribution ?? '')]),
      ...budgets.map((budget) =>
        figureColumn(budget.at, '', [
          figure(budget.value, channel, units, 2),
          figure(budget.expanded, channel, units, 2),
          ...sources.map((source) => share(budget, source)),
        ]),
      ),
    ]).filter((line) => line.trim() !== ''),
  ];
}

function questionTable(questions: ChainReport['questions']): string[] {
  const answer = (can: boolean | null) => (can === null ? 'not known' : can ? 'yes' : 'no');
  return table([
    wordColumn(
      'Question',
      questions.map(({ question }) => question),
    ),
    wordColumn(
      'Answer',
      questions.map(({ answerable }) => answer(answerable)),
    ),
    wordColumn(
      'Because',
      questions.map(({ because }) => because),
    ),
  ]).filter((line) => line.trim() !== '');
}
