import type { FindingRecord } from '../analysis/diagnosis/findings.ts';
import { nextTest, type Situation } from '../analysis/diagnosis/next-test.ts';
import { speaking } from '../analysis/diagnosis/tests-speak.ts';
import { instant } from '../base/instant.ts';
import { ADVICE } from '../model/advice.ts';
import { alikeTo } from '../model/cannot-judge.ts';
import { ACT_CAUTIONS } from '../model/cautions.ts';
import type { FaultName } from '../model/faults.ts';
import type { FindingEntry, TestName } from '../model/study.ts';
import { atHand } from './at-hand.ts';
import type { Pipeline } from './pipeline.ts';
import { samplingOf } from './sampling-of.ts';

/** What is worth minding before a test is named. */
const MINDED = 0.05;

const oddsOf = ({ fault, probability, instead }: FindingRecord) => [
  { fault, probability },
  ...instead,
];

const isOpen = ({ clearedS, replacedBy }: FindingRecord): boolean =>
  Number.isNaN(clearedS) && replacedBy === null;

/** The findings in the published form, each with the test that would tell most. */
export function findingEntries(pipeline: Pipeline, which: 'all' | 'open' = 'all'): FindingEntry[] {
  const { all } = pipeline.plain.findings;
  const open = new Set(
    all
      .filter(isOpen)
      .flatMap(oddsOf)
      .filter(({ probability }) => probability >= MINDED)
      .map(({ fault }) => fault),
  );
  const has = atHand(pipeline);
  const told = which === 'all' ? all : all.filter(isOpen);
  return told.map((record) => {
    const tests = testsFor(record, pipeline, open);
    const alike = alikeTo(record.fault, has, tests.made);
    return findingEntry(
      record,
      tests.next,
      alike && { faults: [...alike.group], says: alike.says },
    );
  });
}

function testsFor(
  record: FindingRecord,
  pipeline: Pipeline,
  open: ReadonlySet<FaultName>,
): { made: TestName[]; next: TestName | null } {
  const { well, estimation, plain, lastS, signal } = pipeline;
  const sampling = samplingOf({ signal }, 'pressure');
  // What is reported on change shows what happens however long it is silent.
  const followed = sampling?.policy === 'on-change';
  const odds = oddsOf(record);
  const { urgency, nextTest: usual } = ADVICE[record.fault];
  const trouble = { sinceS: record.sinceS, nowS: lastS };
  const made = speaking(plain.findings.tests, trouble).map(({ test }) => test);
  const situation: Situation = {
    odds,
    urgency,
    usual,
    made,
    open: new Set([...open, ...odds.filter((o) => o.probability >= MINDED).map((o) => o.fault)]),
    restS: followed ? NaN : (sampling?.restS ?? NaN),
    runS: followed ? NaN : (sampling?.runS ?? NaN),
    equipment: estimation.known.equipment,
    hasEarlierSweep: well.otherTests.some(
      ({ kind, stopS }) => kind === 'throttle_test' && stopS < record.sinceS,
    ),
  };
  return { made, next: nextTest(situation) };
}

function findingEntry(
  record: FindingRecord,
  test: TestName | null,
  alike: FindingEntry['alike'],
): FindingEntry {
  const advice = ADVICE[record.fault];
  const cautions = new Set<string>(advice.acts.flatMap((act) => ACT_CAUTIONS[act]));
  for (const id of test === null ? [] : ACT_CAUTIONS[test]) cautions.add(id);
  return {
    id: record.id,
    fault: record.fault,
    probability: record.probability,
    since: instant(record.sinceS),
    raised: instant(record.raisedS),
    cleared: Number.isNaN(record.clearedS) ? null : instant(record.clearedS),
    replacedBy: record.replacedBy,
    urgency: advice.urgency,
    evidence: [...record.evidence, ...record.testEvidence].map(({ fromS, toS, ...one }) => ({
      ...one,
      from: instant(fromS),
      to: instant(toS),
    })),
    instead: record.instead,
    alike,
    history: record.history.map(({ atS, fault, probability }) => ({
      at: instant(atS),
      fault,
      probability,
    })),
    nextTest: test,
    action: advice.action,
    cautions: [...cautions],
  };
}
