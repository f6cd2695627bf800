import type { FaultName } from '../model/faults.ts';
import type { Level } from '../model/knowable.ts';
import type { Urgency } from '../model/study.ts';
import { beliefAt, lastBelief, names, type Said } from './said.ts';

/** A fault that a rehearsed well truly had. */
export interface TrueFault {
  name: FaultName;
  severity: number;
  onsetS: number;
  /** When a passing fault had passed; null where it stays. */
  endS: number | null;
  /** First moment its trouble differed from a sound well beyond noise; null: it never did. */
  seenS: number | null;
  level: Level;
  /** What it may honestly be taken for where the level is `pair`. */
  group: FaultName[];
}

/** Something that was so in a well without that fault: a gap in a messy log, short runs. */
export interface AlsoTrue {
  fault: FaultName;
  fromS: number;
  toS: number;
}

/** How one true fault of a case was told. */
export interface Outcome {
  fault: FaultName;
  severity: number;
  level: Level;
  /** It was the most believed of what stood open when it counted. */
  first: boolean;
  /** As well as the level asks: first, one of the group with it named, or no wrong guess. */
  right: boolean;
  named: boolean;
  /** What stood first; null where nothing did. */
  top: string | null;
  topProbability: number;
  /** To the first word that is right for its level, s; null where none came. */
  delayFromOnsetS: number | null;
  delayFromSeenS: number | null;
}

export interface CaseOutcome {
  faults: Outcome[];
  /** Findings beside the root, after the onset: consequences told, and plain mistakes. */
  besides: { fault: string; urgency: Urgency; probability: number }[];
  /** Findings raised while the well was still sound. */
  early: { fault: string; urgency: Urgency; probability: number }[];
}

/** A passing fault may be told until this long after it passed, s. */
const AFTER_S = 2 * 3600;
/** Times of the plant and of the device differ by rounding and clock drift, s. */
export const SLACK_S = 10;
/** A finding that was cleared at once stood for this long, s. */
const INSTANT_S = 1;
/** Less belief than this is a question, not a guess. */
const GUESS_FROM = 0.5;

export interface Judged {
  faults: readonly TrueFault[];
  also: readonly AlsoTrue[];
  said: readonly Said[];
  untilS: number;
}

/** Holds what was said in a case against what was true. */
export function outcomeOf({ faults, also, said, untilS }: Judged): CaseOutcome {
  const accepted = new Set(faults.flatMap((f) => acceptedFor(f)));
  const counted = said.filter(
    (one) => accepted.has(lastBelief(one).fault as FaultName) || !isAlsoTrue(one, also),
  );
  const onsetS = Math.min(...faults.map((f) => f.onsetS)) - SLACK_S;
  const after = counted.filter((one) => one.raisedS >= onsetS);
  const false_ = (one: Said) => !accepted.has(lastBelief(one).fault as FaultName);
  const replacedByRight = (one: Said) => {
    const next = counted.find(({ id }) => id === one.replacedBy);
    return next !== undefined && !false_(next);
  };
  const told = (one: Said) => ({ urgency: one.urgency, ...plain(lastBelief(one)) });
  return {
    faults: faults.map((fault) => faultOutcome(fault, faults, counted, untilS)),
    besides: after.filter((one) => false_(one) && !replacedByRight(one)).map(told),
    early: counted.filter((one) => one.raisedS < onsetS).map(told),
  };
}

const plain = ({ fault, probability }: { fault: string; probability: number }) => ({
  fault,
  probability,
});

/** Whether a finding tells something that was so, though no fault of the case. */
export function isAlsoTrue(one: Said, also: readonly AlsoTrue[]): boolean {
  const { fault } = lastBelief(one);
  return also.some(
    (true_) => true_.fault === fault && one.raisedS >= true_.fromS && one.raisedS <= true_.toS,
  );
}

function acceptedFor(fault: TrueFault): FaultName[] {
  return fault.level === 'pair' ? [fault.name, ...fault.group] : [fault.name];
}

/** What stood open at a moment, most believed first; a `note` stands behind the rest. */
function standing(said: readonly Said[], atS: number): { one: Said; fault: string; p: number }[] {
  return said
    .filter((one) => one.raisedS <= atS && Math.max(one.closedS, one.raisedS + INSTANT_S) > atS)
    .map((one) => {
      const { fault, probability } = beliefAt(one, atS);
      return { one, fault, p: probability };
    })
    .sort(
      (a, b) =>
        Number(a.one.urgency === 'note') - Number(b.one.urgency === 'note') ||
        b.p - a.p ||
        a.one.raisedS - b.one.raisedS,
    );
}

/**
 * The moment that decides: the last one, up to the end of the log or two hours after a passing
 * fault had passed, at which anything raised since the onset stood open.
 */
function decidesAt(fault: TrueFault, said: readonly Said[], untilS: number): number {
  const limitS = Math.min(untilS, (fault.endS ?? Number.POSITIVE_INFINITY) + AFTER_S);
  const last = said
    .filter((one) => one.raisedS >= fault.onsetS - SLACK_S && one.raisedS <= limitS)
    .map((one) => Math.min(Math.max(one.closedS, one.raisedS + INSTANT_S), limitS + INSTANT_S));
  return last.length === 0 ? limitS : Math.max(...last) - INSTANT_S / 2;
}

function faultOutcome(
  fault: TrueFault,
  all: readonly TrueFault[],
  said: readonly Said[],
  untilS: number,
): Outcome {
  const others = new Set(all.filter((f) => f !== fault).flatMap((f) => acceptedFor(f) as string[]));
  const open = standing(said, decidesAt(fault, said, untilS));
  // With two faults, what tells the other one does not stand before this one.
  const top = open.find((o) => o.fault === fault.name || !others.has(o.fault)) ?? open[0];
  const first = top?.fault === fault.name;
  const since = said.filter((one) => one.closedS >= fault.onsetS - SLACK_S);
  const rightAtS = firstRightS(fault, since);
  return {
    fault: fault.name,
    severity: fault.severity,
    level: fault.level,
    first,
    right: isRight(fault, top),
    named: since.some((one) => names(one, fault.name)),
    top: top?.fault ?? null,
    topProbability: top?.p ?? 0,
    delayFromOnsetS: rightAtS === null ? null : rightAtS - fault.onsetS,
    delayFromSeenS: rightAtS === null || fault.seenS === null ? null : rightAtS - fault.seenS,
  };
}

function isRight(fault: TrueFault, top: { one: Said; fault: string; p: number } | undefined) {
  if (top?.fault === fault.name) return true;
  if (fault.level === 'first') return false;
  if (fault.level === 'not-judgeable' && (top === undefined || isNoGuess(top))) return true;
  if (top === undefined || !names(top.one, fault.name)) return false;
  // What can't be judged but is said with its odds beside what looks like it is no wrong guess.
  return fault.level === 'not-judgeable' || fault.group.includes(top.fault as FaultName);
}

const isNoGuess = ({ fault, p }: { fault: string; p: number }) =>
  fault === 'unknown-trouble' || p < GUESS_FROM;

/** First moment from the onset on at which a right word was said. */
function firstRightS(fault: TrueFault, said: readonly Said[]): number | null {
  const accepted = acceptedFor(fault) as string[];
  const times = said.flatMap((one) =>
    one.history
      .filter((entry) => accepted.includes(entry.fault))
      .map((entry) => entry.atS)
      .filter((atS) => atS >= fault.onsetS - SLACK_S),
  );
  return times.length === 0 ? null : Math.max(Math.min(...times), fault.onsetS);
}
