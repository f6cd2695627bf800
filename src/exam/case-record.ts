import type { FindingEntry } from '../model/study.ts';
import {
  type AlsoTrue,
  type CaseOutcome,
  isAlsoTrue,
  outcomeOf,
  SLACK_S,
  type TrueFault,
} from './outcome.ts';
import { lastBelief, type Said, saidOf } from './said.ts';

/** How a rehearsed well was measured. */
export interface Way {
  policy: string;
  runIntervalS: number;
  restIntervalS: number;
  messy: boolean;
  channels: string[];
  bucketTest: boolean;
  realDemand: boolean;
  /** Sick before the first reading. */
  sickFromStart: boolean;
}

/** A case as it was run: what was true, and what was said. */
export interface CaseRecord {
  id: string;
  system: string;
  seed: number;
  fromS: number;
  untilS: number;
  way: Way;
  /** Days of sound running to learn a baseline from; 0 where there were too few runs. */
  baselineDays: number;
  /** Empty in a sound well. */
  faults: TrueFault[];
  also: AlsoTrue[];
  findings: FindingEntry[];
  rules: Said[];
}

export type Teller = 'study' | 'rules';

export const saidBy = (record: CaseRecord, teller: Teller): Said[] =>
  teller === 'study' ? saidOf(record.findings) : record.rules;

/** A case of a sick well, graded. */
export function grade(record: CaseRecord, teller: Teller): CaseOutcome {
  const { faults, also, untilS } = record;
  return outcomeOf({ faults, also, untilS, said: saidBy(record, teller) });
}

/** What was said of a sound well and was not so. */
export function falseIn(record: CaseRecord, teller: Teller): Said[] {
  return saidBy(record, teller).filter((one) => !isAlsoTrue(one, record.also));
}

/** A belief that was said, and whether it was so. */
export interface Claim {
  probability: number;
  right: boolean;
}

/** The last belief of each finding raised since the onset, or of all in a sound well. */
export function claimsOf(record: CaseRecord, teller: Teller): Claim[] {
  const onsetS = Math.min(...record.faults.map((f) => f.onsetS));
  return saidBy(record, teller).flatMap((one) => {
    const { fault, probability } = lastBelief(one);
    const right = record.faults.some((f) => f.name === fault);
    const early = record.faults.length > 0 && one.raisedS < onsetS - SLACK_S;
    return early || (!right && isAlsoTrue(one, record.also)) ? [] : { probability, right };
  });
}
