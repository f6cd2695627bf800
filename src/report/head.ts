import { FAULTS, type FaultName } from '../model/faults.ts';
import type { SetAsideReason } from '../model/reading.ts';
import {
  type FindingEntry,
  type RunEntry,
  type ScaleEntry,
  type Study,
  URGENCIES,
} from '../model/study.ts';
import { formatValue } from '../units/format.ts';
import { type Figures, gauge, spread } from './figures.ts';
import { hanging, tied } from './layout.ts';
import { localMoment, unixS } from './moments.ts';
import { ENDED_WORDS, FAULT_WORDS, SET_ASIDE_WORDS, URGENCY_WORDS, WORDS } from './words.ts';

/** Faults that mean, while they last, that no water can be counted on. */
export const NO_WATER: ReadonlySet<string> = new Set<string>([
  'running-dry',
  'pump-uncoupled',
  'drop-pipe-parted',
  'rotor-locked',
  'overload-tripping',
  'power-out',
  'switch-no-start',
  'frozen',
] satisfies FaultName[]);

/** Findings that still stand at the end of the log, the most urgent first. */
export function openFindings(study: Study): FindingEntry[] {
  return study.findings
    .filter((f) => f.cleared === null && f.replacedBy === null)
    .sort((a, b) => URGENCIES.indexOf(a.urgency) - URGENCIES.indexOf(b.urgency));
}

export const faultWords = (name: string): string =>
  Object.hasOwn(FAULT_WORDS, name) ? FAULT_WORDS[name as FaultName] : name;

/** Is there water, does anything need doing, can the numbers be trusted. */
export function head(study: Study, figures: Figures): string[] {
  const labelled = (label: string, sentences: string[]) =>
    sentences.flatMap((text, i) => hanging(i === 0 ? label : '', text, { indent: 2, hang: 9 }));
  return [
    ...labelled(WORDS.head.water, water(study, figures)),
    ...labelled(WORDS.head.toDo, toDo(study)),
    ...labelled(WORDS.head.trust, trust(study, figures)),
  ];
}

function water(study: Study, figures: Figures): string[] {
  const dry = openFindings(study).find((f) => NO_WATER.has(f.fault));
  if (dry !== undefined) return [WORDS.waterInDoubt(faultWords(dry.fault))];
  const cutShort = (run: RunEntry) => run.ended === 'log-end' || run.ended === 'gap';
  const last = study.runs.findLast((run) => !cutShort(run));
  if (last === undefined) return [WORDS.waterNotShown];
  const when = localMoment(last.stop ?? last.start, figures.zone);
  const level = last.cutOutPaGauge === null ? '' : gauge(last.cutOutPaGauge, 'pressure', figures);
  const said =
    last.ended === 'cut-out'
      ? WORDS.waterYes(level, when)
      : WORDS.waterInDoubt(
          WORDS.lastRun(localMoment(last.start, figures.zone), ENDED_WORDS[last.ended].told),
        );
  return study.runs.at(-1)?.ended === 'log-end' ? [said, WORDS.waterLogEndsInRun] : [said];
}

function toDo(study: Study): string[] {
  const asking = openFindings(study).filter((f) => f.urgency !== 'note');
  if (asking.length === 0) return [WORDS.nothingToDo];
  const lines = asking.map((f) => WORDS.toDo(URGENCY_WORDS[f.urgency].label, faultWords(f.fault)));
  return [...lines, WORDS.toDoBelow];
}

function trust(study: Study, figures: Figures): string[] {
  const sensing = openFindings(study).filter((f) =>
    FAULTS[f.fault as FaultName]?.catalogue.some((entry) => entry.startsWith('S')),
  );
  return [
    ...sensing.map((f) => WORDS.sensorInDoubt(faultWords(f.fault))),
    scaleWords(study.scale.at(-1), figures),
    ...(study.scale.length > 1 ? [WORDS.scaleChanges] : []),
    readingWords(study),
    ...samplingWords(study),
  ];
}

function scaleWords(scale: ScaleEntry | undefined, figures: Figures): string {
  if (scale === undefined) return WORDS.scaleNone;
  if (scale.basis === 'relative') {
    const since = localMoment(scale.from, figures.zone);
    return figures.relative ? WORDS.scale.relative : WORDS.scaleLost(since);
  }
  const range = spread({ value: scale.tankConstantPaM3, std: scale.tankConstantPaM3Std });
  return WORDS.scale[scale.basis](range);
}

const counted = (count: number) => count.toLocaleString('en-US');
const sum = (counts: number[]) => counts.reduce((total, n) => total + n, 0);

function readingWords(study: Study): string {
  const used = counted(sum(Object.values(study.span.readings)));
  const reasons = Object.entries(study.span.setAside).filter(([, count]) => count > 0);
  if (reasons.length === 0) return WORDS.readings(used, WORDS.noneSetAside);
  const words = reasons.map(
    ([reason, count]) => `${counted(count)} ${SET_ASIDE_WORDS[reason as SetAsideReason] ?? reason}`,
  );
  const all = counted(sum(reasons.map(([, count]) => count)));
  return WORDS.readings(used, WORDS.setAside(all, words.join(', ')));
}

/** How the study tells of a pressure that comes only when it moves. */
const TOLD_ON_CHANGE = 'pressure: on change';

function samplingWords(study: Study): string[] {
  const lengthS = unixS(study.span.to) - unixS(study.span.from);
  const count = study.span.readings.pressure ?? 0;
  const lines: string[] = [];
  const onChange = study.told.some((text) => text.startsWith(TOLD_ON_CHANGE));
  const words = onChange ? WORDS.samplingOnChange : WORDS.sampling;
  if (count > 1) lines.push(words(roughly(lengthS / count)));
  const errors = study.runs.flatMap((run) => [run.startStdS, run.stopStdS ?? run.startStdS]);
  const typical = errors.sort((a, b) => a - b)[errors.length >> 1];
  if (typical !== undefined) lines.push(WORDS.samplingRuns(roughly(2 * typical)));
  return lines;
}

/** A length of time to one digit: a mean over rests and runs says no more. */
function roughly(lengthS: number): string {
  const rounded = Number(lengthS.toPrecision(1));
  const decimals = rounded < 1 ? Math.ceil(-Math.log10(rounded)) : 0;
  return tied(formatValue(rounded, 'time', 'si', Math.min(decimals, 3)));
}
