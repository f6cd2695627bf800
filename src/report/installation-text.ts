import { ACT_CAUTIONS, CAUTIONS, type CautionId } from '../model/cautions.ts';
import type {
  InstallationInput,
  InstallationLimit,
  InstallationReport,
  InstallationResult,
} from '../model/installation.ts';
import type { Well } from '../model/well.ts';
import { shownEstimate, shownInput, shownValue, withFigures } from './installation-figures.ts';
import { hanging, paragraph, section, table, wordColumn } from './layout.ts';

type System = Well['units'];

/** The installation check as a contractor would hand it over: in short, then all the working. */
export function installationText(report: InstallationReport, well: Well): string {
  const { units } = well;
  const lines = [
    `Installation of ${well.name} (${well.id})`,
    ...paragraph(INTRODUCTION, 0),
    '',
    ...section('Asks for a look', asking(report.results, units)),
    ...section('All results', summary(report.results, units)),
    ...section('Would tell more', missing(report)),
    ...section('The working', workings(report, units)),
    ...ACT_CAUTIONS['read-results'].flatMap((id) => paragraph(CAUTIONS[id], 0)),
  ];
  return `${lines.join('\n')}\n`;
}

const INTRODUCTION =
  'What can be worked out from the well file alone; nothing here was measured. What stands after ' +
  '± is the 95 % uncertainty. Local code and a licensed installer come first everywhere.';

function asking(results: readonly InstallationResult[], system: System): string[] {
  const beyond = results.filter(({ verdict }) => verdict === 'beyond');
  const near = results.filter(({ verdict, close }) => verdict === 'within' && close);
  const said = new Set<CautionId>();
  const lines = beyond.flatMap((result) => [
    ...paragraph(`${result.title}: ${shown(result, system)}${doubt(result)}. ${result.says}`),
    ...cautionLines(result.cautions, said),
  ]);
  const judged = results.filter(({ verdict }) => verdict === 'beyond' || verdict === 'within');
  if (judged.length === 0)
    lines.push(...paragraph('Nothing can be judged yet: see what is missing.'));
  else if (beyond.length === 0) {
    lines.push(...paragraph('Nothing that could be judged is beyond its limit.'));
  }
  if (near.length === 0) return lines;
  const titles = near.map(({ title }) => title).join('; ');
  return [...lines, ...paragraph(`Within, but the uncertainty reaches over the limit: ${titles}.`)];
}

/** A caution that stands just above with another result is named, not said again. */
function cautionLines(ids: readonly CautionId[], said: Set<CautionId>): string[] {
  const about = { indent: 4, hang: 9 };
  const fresh = ids.filter((id) => !said.has(id));
  const again = ids.filter((id) => said.has(id));
  for (const id of fresh) said.add(id);
  return [
    ...fresh.flatMap((id) => hanging('Caution', CAUTIONS[id], about)),
    ...(again.length === 0 ? [] : hanging('Caution', `as above: ${again.join(', ')}`, about)),
  ];
}

const doubt = ({ close }: InstallationResult) =>
  close ? ' (its limit lies within the uncertainty)' : '';

function summary(results: readonly InstallationResult[], system: System): string[] {
  const column = (head: string, cell: (result: InstallationResult) => string) =>
    wordColumn(head, results.map(cell));
  return table([
    column('Result', ({ title }) => title),
    column('Value', (result) => shown(result, system)),
    column('Limit', ({ limit, kind }) => limitCell(limit, kind, system)),
    column('Verdict', verdictWords),
  ]).filter((line) => line !== '');
}

const shown = ({ value, std, kind }: InstallationResult, system: System) =>
  value === null || std === null ? '-' : shownEstimate({ value, std, kind }, system);

function limitCell(
  limit: InstallationLimit | null,
  kind: InstallationResult['kind'],
  system: System,
): string {
  if (limit === null) return '-';
  const end = (at: { value: number }) => shownValue(at.value, kind, system);
  const { least, most } = limit;
  if (least !== null && most !== null) return `${end(least)} to ${end(most)}`;
  if (least !== null) return `at least ${end(least)}`;
  return most === null ? '-' : `at most ${end(most)}`;
}

const VERDICTS: Record<InstallationResult['verdict'], string> = {
  within: 'within',
  beyond: 'BEYOND',
  'no-limit': '',
  'not-known': 'not known',
  'does-not-apply': 'not needed',
};

const verdictWords = ({ verdict, close }: InstallationResult) =>
  close ? `${VERDICTS[verdict]}, close` : VERDICTS[verdict];

const missing = ({ missing: keys }: InstallationReport): string[] =>
  keys.flatMap(({ key, count }) =>
    paragraph(`${key}: ${count} ${count === 1 ? 'result waits' : 'results wait'} for it.`),
  );

const line = (label: string, text: string) => hanging(label, text, { indent: 4, hang: 9 });

function workings({ results }: InstallationReport, system: System): string[] {
  const titles = new Map(results.map(({ id, title }) => [id, title]));
  return results.flatMap((result, i) => {
    const known = result.value !== null;
    const heading = `${result.title}: ${known ? shown(result, system) : verdictWords(result)}`;
    const before = results[i - 1]?.inputs ?? [];
    return [
      ...paragraph(heading),
      ...(known ? arithmetic(result, system) : []),
      ...(known ? inputLines(result.inputs, before, { titles, system }) : []),
      ...(known ? line('Source', result.source) : []),
      ...limitLine(result),
      ...line('Says', result.says),
      '',
    ];
  });
}

function arithmetic(result: InstallationResult, system: System): string[] {
  const { value, kind, inputs, solved, sides } = result;
  if (value === null) return [];
  const formula = result.formula[system];
  const outcome = shownValue(value, kind, system);
  const put =
    sides !== null
      ? `at Q = ${outcome} both sides are ${shownValue(sides.value, sides.kind, system)}`
      : `= ${solved ? '' : `${withFigures(formula, inputs, system)} = `}${outcome}`;
  return [...line('Formula', multiplied(formula)), ...line('', multiplied(put))];
}

const multiplied = (text: string) => text.replaceAll('*', '×');

/** Inputs, but for those that stand with the result before in the same words. */
function inputLines(
  inputs: readonly InstallationInput[],
  before: readonly InstallationInput[],
  about: { titles: ReadonlyMap<string, string>; system: System },
): string[] {
  const words = (input: InstallationInput) => inputWords(input, about);
  const told = new Set(before.map((input) => `${input.symbol} ${words(input)}`));
  const again = inputs.filter((input) => told.has(`${input.symbol} ${words(input)}`));
  const fresh = inputs.filter((input) => !again.includes(input));
  const symbols = again.map(({ symbol }) => symbol).join(', ');
  return [
    ...fresh.flatMap((input) => line(input.symbol, words(input))),
    ...(again.length === 0 ? [] : line('', `${symbols} as above`)),
  ];
}

function inputWords(
  { what, value, std, kind, origin }: InstallationInput,
  { titles, system }: { titles: ReadonlyMap<string, string>; system: System },
): string {
  const figure = `${what} ${shownInput({ value, std, kind }, system)}`;
  if (origin.from === 'file') return `${figure}: well file, ${origin.key} (${origin.source})`;
  if (origin.from === 'assumed') return `${figure}: assumed, ${origin.because}`;
  const title = titles.get(origin.id) ?? origin.id;
  return title.toLowerCase() === what.toLowerCase()
    ? `${figure}: worked out above`
    : `${figure}: ${title}`;
}

function limitLine(result: InstallationResult): string[] {
  const { limit, defers } = result;
  if (limit === null) return [];
  return line('Limit', `${limit.rule} (${limit.source}): ${verdictWords(result)}. ${defers}`);
}
