import { instant } from '../../base/instant.ts';
import { type CaseRecord, grade, saidBy } from '../../exam/case-record.ts';
import type { Outcome } from '../../exam/outcome.ts';
import { lastBelief } from '../../exam/said.ts';
import { lasting } from '../../exam/tables.ts';
import { knowable } from '../../model/knowable.ts';
import type { FindingEntry, Study } from '../../model/study.ts';
import type { RehearsedFault } from '../../simulation/faults/faults.ts';

const second = (s: number) => instant(s).slice(0, 19);
const percent = (p: number) => `${Math.round(100 * p)} %`;

/** Everything about one case, for whoever betters the diagnosis. */
export function caseText(record: CaseRecord, study: Study): string {
  const { way } = record;
  const lines = [
    `case      ${record.id}`,
    `log       ${second(record.fromS)} to ${second(record.untilS)}, system ${record.system}`,
    `readings  ${way.policy}, ${way.runIntervalS} s running, ${way.restIntervalS} s at rest, ` +
      `${way.messy ? 'messy' : 'clean'}; ${way.channels.join(', ')}`,
    `known     ${way.bucketTest ? 'bucket test' : 'no bucket test'}, ` +
      `${way.realDemand ? 'real' : 'made'} demand`,
    ...record.faults.flatMap((fault) => truthLines(fault, record)),
    ...record.also.slice(0, 5).map((a) => `also so   ${a.fault} ${second(a.fromS)}`),
    '',
    `study     ${study.runs.length} runs, ${study.days.length} days`,
    ...study.findings.flatMap((finding) => findingLines(finding, record)),
    ...verdictLines(record, 'study'),
    '',
    'fixed rules',
    ...saidBy(record, 'rules')
      .slice(0, 20)
      .map((one) => `  ${second(one.raisedS)} ${lastBelief(one).fault} (${one.urgency})`),
    ...verdictLines(record, 'rules'),
  ];
  return `${lines.join('\n')}\n`;
}

function truthLines(fault: CaseRecord['faults'][number], record: CaseRecord): string[] {
  const { way } = record;
  const { says } = knowable(fault.name as RehearsedFault, {
    channels: way.channels as never,
    runIntervalS: way.runIntervalS,
    restIntervalS: way.restIntervalS,
    atSetTimes: way.policy !== 'on-change',
    baselineDays: record.baselineDays,
    test: null,
  });
  const seen = fault.seenS === null ? 'never' : second(fault.seenS);
  return [
    `truth     ${fault.name} at ${percent(fault.severity)} since ${second(fault.onsetS)}` +
      `${fault.endS === null ? '' : ` to ${second(fault.endS)}`}, first to be seen ${seen}`,
    `may be    ${fault.level}${fault.group.length === 0 ? '' : `: ${fault.group.join(', ')}`}`,
    `          ${says}`,
  ];
}

function findingLines(finding: FindingEntry, record: CaseRecord): string[] {
  const number = (x: number | null) => (x === null ? '?' : Number(x.toPrecision(4)).toString());
  const odds = finding.instead.map((o) => `${o.fault} ${percent(o.probability)}`).join(', ');
  const onsetS = Math.min(...record.faults.map((f) => f.onsetS));
  const early = Date.parse(finding.raised) / 1000 < onsetS - 10 ? ' BEFORE ONSET' : '';
  const ended = finding.cleared === null ? 'open' : `cleared ${finding.cleared.slice(0, 19)}`;
  const replaced = finding.replacedBy === null ? '' : `, replaced by ${finding.replacedBy}`;
  return [
    `  ${finding.id}: ${finding.fault} ${percent(finding.probability)} (${finding.urgency})` +
      `${early}; since ${finding.since.slice(0, 19)}, raised ${finding.raised.slice(0, 19)}, ` +
      `${ended}${replaced}`,
    `    instead ${odds === '' ? 'nothing' : odds}; next test ${finding.nextTest ?? 'none'}`,
    ...finding.evidence.map(
      (e) =>
        `    - ${e.says}: ${number(e.observed)} ${e.unit}, expected ${number(e.expected)} ` +
        `+- ${number(e.expectedStd)}`,
    ),
    ...finding.history.map(
      (h) => `    * ${h.at.slice(0, 19)} ${h.fault} ${percent(h.probability)}`,
    ),
  ];
}

function verdictLines(record: CaseRecord, teller: 'study' | 'rules'): string[] {
  if (record.faults.length === 0) return [];
  const { faults, besides, early } = grade(record, teller);
  const list = (all: typeof besides) =>
    all.map((b) => `${b.fault} ${percent(b.probability)} (${b.urgency})`).join(', ');
  return [
    ...faults.map((outcome) => `verdict   ${outcomeText(outcome)}`),
    ...(besides.length === 0 ? [] : [`besides   ${list(besides)}`]),
    ...(early.length === 0 ? [] : [`early     ${list(early)}`]),
  ];
}

function outcomeText(o: Outcome): string {
  const delay = (s: number | null) => (s === null ? 'never' : lasting(s));
  const { delayFromSeenS: afterS } = o;
  const fromSymptom =
    afterS !== null && afterS < 0
      ? `${lasting(-afterS)} before first symptom`
      : `${delay(afterS)} after first symptom`;
  return (
    `${o.fault}: ${o.right ? 'RIGHT' : 'not right'}; ${o.first ? 'first' : 'not first'}, ` +
    `${o.named ? 'named' : 'not named'}; on top ${o.top ?? 'nothing'} ` +
    `${percent(o.topProbability)}; said ${delay(o.delayFromOnsetS)} after onset, ` +
    fromSymptom
  );
}
