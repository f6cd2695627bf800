import { FAULTS, type FaultName } from '../model/faults.ts';
import type { Level } from '../model/knowable.ts';
import type { CaseRecord, Teller } from './case-record.ts';
import { grade } from './case-record.ts';
import type { Outcome } from './outcome.ts';

/** Cases counted one way. */
export interface Share {
  cases: number;
  hits: number;
}

const share = (): Share => ({ cases: 0, hits: 0 });

function count(into: Share, hit: boolean): void {
  into.cases++;
  if (hit) into.hits++;
}

/** How one fault was told over all its cases. */
export interface FaultTally {
  fault: FaultName;
  /** Cases in which it could be seen; only these count below. */
  cases: number;
  /** Cases in which it never differed from a sound well. */
  unseen: number;
  levels: Record<Level, Share>;
  first: number;
  right: number;
  named: number;
  nothing: number;
  bySeverity: Map<number, Share>;
  delaysFromOnsetS: number[];
  delaysFromSeenS: number[];
  /** Findings beside the root. */
  besides: number;
  mistakenFor: Map<string, number>;
}

export interface Tally {
  faults: Map<FaultName, FaultTally>;
  levels: Record<Level, Share>;
  /** Right by how the well was measured: `reporting: fixed` and the like. */
  by: Map<string, Share>;
  /** Faults of urgency `now` that could be judged: told within two minutes of the first symptom. */
  nowInTime: Share;
  /** Wells with two faults: each fault right, and named at all. */
  two: { right: Share; named: Share };
  early: { findings: number; cases: number };
}

const NOW_WITHIN_S = 120;

const perLevel = (): Record<Level, Share> => ({
  first: share(),
  pair: share(),
  'not-judgeable': share(),
});

function emptyFor(fault: FaultName): FaultTally {
  return {
    fault,
    cases: 0,
    unseen: 0,
    levels: perLevel(),
    first: 0,
    right: 0,
    named: 0,
    nothing: 0,
    bySeverity: new Map(),
    delaysFromOnsetS: [],
    delaysFromSeenS: [],
    besides: 0,
    mistakenFor: new Map(),
  };
}

function of<K, V>(map: Map<K, V>, key: K, make: () => V): V {
  const known = map.get(key);
  if (known !== undefined) return known;
  const made = make();
  map.set(key, made);
  return made;
}

/** Counts the cases of sick wells. */
export function tallyOf(records: readonly CaseRecord[], teller: Teller): Tally {
  const tally: Tally = {
    faults: new Map(),
    levels: perLevel(),
    by: new Map(),
    nowInTime: share(),
    two: { right: share(), named: share() },
    early: { findings: 0, cases: 0 },
  };
  for (const record of records) if (record.faults.length > 0) add(tally, record, teller);
  return tally;
}

function add(tally: Tally, record: CaseRecord, teller: Teller): void {
  const { faults, besides, early } = grade(record, teller);
  tally.early.cases++;
  tally.early.findings += early.length;
  if (faults.length > 1) {
    faults.forEach((outcome, k) => {
      if (record.faults[k]!.seenS === null) return;
      count(tally.two.right, outcome.right);
      count(tally.two.named, outcome.named);
    });
    return;
  }
  const [outcome] = faults;
  const [fault] = record.faults;
  const into = of(tally.faults, fault!.name, () => emptyFor(fault!.name));
  if (fault!.seenS === null) {
    into.unseen++;
    return;
  }
  into.besides += besides.length;
  addOutcome(into, outcome!);
  count(tally.levels[outcome!.level], outcome!.right);
  for (const key of waysOf(record)) count(of(tally.by, key, share), outcome!.right);
  if (FAULTS[outcome!.fault].urgency[0] === 'now' && outcome!.level !== 'not-judgeable') {
    const afterS = outcome!.delayFromSeenS;
    count(tally.nowInTime, afterS !== null && afterS <= NOW_WITHIN_S);
  }
}

function addOutcome(into: FaultTally, outcome: Outcome): void {
  into.cases++;
  count(into.levels[outcome.level], outcome.right);
  count(of(into.bySeverity, outcome.severity, share), outcome.right);
  if (outcome.first) into.first++;
  if (outcome.right) into.right++;
  if (outcome.named) into.named++;
  if (outcome.top === null) into.nothing++;
  if (!outcome.right) {
    const taken = outcome.top ?? 'nothing';
    into.mistakenFor.set(taken, (into.mistakenFor.get(taken) ?? 0) + 1);
  }
  if (outcome.delayFromOnsetS !== null) into.delaysFromOnsetS.push(outcome.delayFromOnsetS);
  if (outcome.delayFromSeenS !== null)
    into.delaysFromSeenS.push(Math.max(0, outcome.delayFromSeenS));
}

function waysOf(record: CaseRecord): string[] {
  const { policy, restIntervalS, messy, channels, bucketTest, realDemand, sickFromStart } =
    record.way;
  return [
    `reporting: ${policy}${policy === 'fast-while-running' ? ` / ${restIntervalS} s` : ''}`,
    `log: ${messy ? 'messy' : 'clean'}`,
    `channels: ${channels.length === 2 ? 'pressure and current' : `${channels.length}`}`,
    `scale: ${bucketTest ? 'bucket test' : 'nameplate'}`,
    `demand: ${realDemand ? 'real' : 'made'}`,
    `sick: ${sickFromStart ? 'from the start' : 'after learning'}`,
    `severity: ${record.faults[0]!.severity}`,
    `system: ${record.system}`,
  ];
}
