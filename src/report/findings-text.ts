import { ACT_CAUTIONS, CAUTIONS, type CautionId } from '../model/cautions.ts';
import { OWNER_TESTS, stepsInWords } from '../model/owner-tests.ts';
import type {
  Evidence,
  FindingEntry,
  Moves,
  Study,
  TestName,
  UnknownEntry,
} from '../model/study.ts';
import { notKnown } from './condition.ts';
import { type Figures, full, known, percent, shownAs } from './figures.ts';
import { faultWords, openFindings } from './head.ts';
import { hanging, paragraph, tied } from './layout.ts';
import { localMoment } from './moments.ts';
import { FIELD_WORDS, URGENCY_WORDS, WORDS } from './words.ts';

/** Findings, those that stand first: state, evidence, what else, the test, what to do, cautions. */
export function findingsText(study: Study, figures: Figures): string[] {
  const open = openFindings(study);
  const over = study.findings.filter((finding) => !open.includes(finding));
  return [...open, ...over].flatMap((finding, i) => [
    ...(i === 0 ? [] : ['']),
    ...findingText(finding, i + 1, figures),
  ]);
}

function findingText(finding: FindingEntry, number: number, figures: Figures): string[] {
  const { finding: labels } = WORDS;
  const line = (label: string, text: string) => hanging(label, text, { indent: 5, hang: 9 });
  const urgency = URGENCY_WORDS[finding.urgency];
  const over = finding.cleared !== null;
  const title = faultWords(finding.fault);
  const instead = finding.instead
    .filter((other) => other.probability >= 0.005)
    .map((other) => WORDS.alternative(faultWords(other.fault), percent(other.probability)));
  const test = finding.nextTest;
  const seen = [
    ...hanging(`${number}.`, over ? WORDS.over(title) : WORDS.toDo(urgency.label, title), {
      indent: 2,
      hang: 3,
    }),
    ...line(labels.state, state(finding, figures)),
    ...finding.evidence.flatMap((evidence) =>
      line(labels.seen, evidenceText(evidence, finding.fault, figures)),
    ),
    ...(over || finding.alike === null ? [] : line(labels.alike, finding.alike.says)),
    ...line(labels.instead, instead.length === 0 ? WORDS.nothingElse : `${instead.join(', ')}.`),
  ];
  if (over) return seen;
  const toTest = line(labels.test, test === null ? WORDS.noTest : testText(test));
  const toDo = line(labels.action, finding.action);
  return [
    ...seen,
    // What cannot wait is acted upon first.
    ...(finding.urgency === 'now' ? [...toDo, ...toTest] : [...toTest, ...toDo]),
    ...line(labels.wait, urgency.wait),
    ...cautionsOf(finding).flatMap((id) => line(labels.caution, CAUTIONS[id])),
  ];
}

function state(finding: FindingEntry, figures: Figures): string {
  const odds = WORDS.odds(percent(finding.probability));
  const since = localMoment(finding.since, figures.zone);
  if (finding.cleared !== null) {
    return WORDS.stateOver(odds, since, localMoment(finding.cleared, figures.zone));
  }
  const open = WORDS.stateOpen(odds, since, localMoment(finding.raised, figures.zone));
  return finding.replacedBy === null ? open : `${open} ${WORDS.replaced}`;
}

/** Those the finding names and those its next test must carry, each once. */
export function cautionsOf(finding: FindingEntry): CautionId[] {
  const named = finding.cautions.filter((id): id is CautionId => Object.hasOwn(CAUTIONS, id));
  const carried = finding.nextTest === null ? [] : ACT_CAUTIONS[finding.nextTest];
  return [...new Set([...named, ...carried])];
}

/** An observation, what was expected, and how far it moves the odds. */
export function evidenceText(evidence: Evidence, fault: string, figures: Figures): string {
  const seen = seenText(evidence, figures);
  const moves = evidence.moves === undefined ? '' : movesText(evidence.moves, fault);
  return moves === '' ? seen : `${seen} ${moves}`;
}

/** An observation and what was expected. */
export function seenText(evidence: Evidence, figures: Figures): string {
  const { observed, expected, expectedStd, unit } = evidence;
  const { kind, counted } = shownAs(unit);
  // What was observed is compared with what was expected, so it is told to the same digit.
  const found = known({ value: observed, std: expectedStd }, kind, figures, counted);
  const wanted =
    expected === null ? null : full({ value: expected, std: expectedStd }, kind, figures, counted);
  return WORDS.evidence(evidence.says, found, wanted);
}

/** Which fault the observation moves, and how far, in odds; nothing where it parts no two. */
function movesText(moves: Moves, told: string): string {
  const { logOverSound, rival, logOverRival } = moves;
  const fault = moves.fault === told ? null : faultWords(moves.fault);
  const next =
    rival === null || logOverRival === null || rival === 'unknown-trouble'
      ? null
      : { odds: oddsText(logOverRival), rival: faultWords(rival) };
  if (logOverSound === null) {
    if (next === null) return '';
    if (next.odds === EVEN) return WORDS.movesNone(fault, next.rival);
    return WORDS.movesRival(fault, next.odds, next.rival);
  }
  return WORDS.moves(fault, oddsText(logOverSound), next === null ? '' : overText(next));
}

const overText = ({ odds, rival }: { odds: string; rival: string }): string =>
  odds === EVEN ? WORDS.overRivalNone(rival) : WORDS.overRival(odds, rival);

const EVEN = tied('1 : 1');

/** A ratio of odds to one digit; what speaks against stands the other way round. */
function oddsText(log: number): string {
  const times = Number(Math.exp(Math.min(Math.abs(log), LOG_MOST)).toPrecision(1));
  const told = times.toLocaleString('en-US');
  return tied(log < 0 ? `1 : ${told}` : `${told} : 1`);
}

/** Nothing a single observation shows is surer than ten thousand to one. */
const LOG_MOST = Math.log(10_000);

/** What to do for a test, in one piece: name, how, how long. */
function testText(test: TestName): string {
  const { name, takes } = OWNER_TESTS[test];
  return `${name}. ${stepsInWords(test)} ${WORDS.takes(takes)}`;
}

/** What is not known, why, and the test that would tell. */
export function unknownText(study: Study): string[] {
  return study.unknown.flatMap((entry) => paragraph(unknownWords(entry)));
}

/** One thing that is not known, and why. */
export const unknownWords = (entry: UnknownEntry): string =>
  entry.field === 'findings'
    ? WORDS.cannotJudge(entry.because)
    : `${FIELD_WORDS[entry.field] ?? entry.field} ${notKnown(entry)}`;

/** Each test named for something unknown: its steps, each with its cautions beside it. */
export function testsText(study: Study): string[] {
  const tests = new Set(study.unknown.flatMap((entry) => (entry.test === null ? [] : entry.test)));
  if (study.scale.at(-1)?.basis !== 'bucket-test') tests.add('bucket');
  return [...tests].flatMap((test, i) => [...(i === 0 ? [] : ['']), ...stepsText(test)]);
}

function stepsText(test: TestName): string[] {
  const { name, steps, takes } = OWNER_TESTS[test];
  return [
    ...hanging(WORDS.finding.test, `${name}. ${WORDS.takes(takes)}`, { indent: 2, hang: 9 }),
    ...steps.flatMap(({ says, cautions }, i) => [
      ...hanging(`${i + 1}.`, says, { indent: 5, hang: 3 }),
      ...cautions.flatMap((id) =>
        hanging(WORDS.finding.caution, CAUTIONS[id], { indent: 8, hang: 9 }),
      ),
    ]),
  ];
}
