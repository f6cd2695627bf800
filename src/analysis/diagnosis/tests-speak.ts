import type { FaultName } from '../../model/faults.ts';
import { OWNER_TESTS } from '../../model/owner-tests.ts';
import type { Evidence, TestName } from '../../model/study.ts';
import type { ServiceRecord } from '../../model/well.ts';
import { HOUSE_SHARE } from '../owner-tests/isolation.ts';
import type { Bearing, Found, TestOutcome } from '../owner-tests/types.ts';
import { type Chance, sum } from './chances.ts';

/** What a keeper's test says of faults, as kept until it speaks no more. Plain state. */
export interface Spoken {
  test: TestName;
  startS: number;
  stopS: number;
  untilS: number;
  /** ln of the likelihood of what was seen under a fault, over that without any such fault. */
  over: { fault: FaultName; log: number }[];
  evidence: Evidence | null;
}

/** Evidence, and when it was seen. */
export type Dated = Evidence & { fromS: number; toS: number };

const DAY_S = 86_400;
/**
 * How long a test speaks for a trouble that was there when it was made (from memory): a leak may
 * find another way within two weeks, air is lost over months, a level goes with the season.
 */
const SPEAKS_DAYS: Partial<Record<TestName, number>> = {
  isolation: 14,
  precharge: 60,
  drain: 60,
  fill: 30,
  throttle: 30,
  recovery: 30,
  sounding: 90,
};
/** These read what the log has not: a gauge at the air, pipes without water, a tape in the well. */
const OF_ITS_OWN: readonly TestName[] = ['precharge', 'drain', 'sounding'];

/** The tests that say something, each once; a service after a test ends what it says. */
export function spokenBy(
  outcomes: readonly TestOutcome[],
  services: readonly ServiceRecord[],
): Spoken[] {
  return outcomes
    .filter(({ bearing }) => bearing.length > 0)
    .map(({ test, startS, stopS, found, bearing }) => {
      const serviceS = services.find(({ onS }) => onS > startS)?.onS ?? Infinity;
      const untilS = Math.min(stopS + (SPEAKS_DAYS[test] ?? 0) * DAY_S, serviceS);
      const over = bearing.map((one: Bearing) => ({ fault: one.fault, log: one.overSound }));
      return { test, startS, stopS, untilS, over, evidence: evidenceOf(test, found) };
    });
}

/** What a keeper finds by these he puts right at once. */
const PUT_RIGHT: readonly TestName[] = ['precharge', 'drain'];
/** Seven to one. */
const SAW = 2;

/**
 * Those that speak for a trouble at a moment: it was there when they were made, or they saw it
 * before the log did. What a test found sound may have failed since.
 */
export function speaking(
  tests: readonly Spoken[],
  trouble: { sinceS: number; nowS: number },
): Spoken[] {
  return tests.filter(({ test, stopS, untilS, over }) => {
    const saw = !PUT_RIGHT.includes(test) && over.some(({ log }) => log > SAW);
    return (saw || trouble.sinceS <= stopS) && trouble.nowS < untilS;
  });
}

/**
 * Odds of faults after the tests that speak for them, by Bayes' rule; a fault of which a test says
 * nothing is to it as no fault at all. A test that reads what the log holds already (the loss, the
 * delivery) parts the faults it speaks of and does not raise them all over others. `left`: what
 * is left of the odds of trouble over a sound well, 1 at most: a test can take a trouble back,
 * but does not make one by itself, for what a keeper finds wrong he may have put right at once.
 */
export function afterTests(
  odds: readonly Chance[],
  tests: readonly Spoken[],
): { odds: Chance[]; left: number } {
  let list = odds.slice();
  let left = 1;
  for (const { test, over } of tests) {
    const factor = new Map(over.map(({ fault, log }) => [fault, Math.exp(log)]));
    const spoken = list.filter(({ fault }) => factor.has(fault));
    const before = sum(spoken);
    if (!(before > 0)) continue;
    const after = spoken.reduce((s, one) => s + one.probability * factor.get(one.fault)!, 0);
    const held = OF_ITS_OWN.includes(test) ? 1 : Math.max(after / before, 1);
    const moved = list.map(({ fault, probability }) => {
      const times = factor.get(fault);
      return { fault, probability: probability * (times === undefined ? 1 : times / held) };
    });
    const all = sum(moved);
    left *= Math.min(all, 1);
    list = moved.map(({ fault, probability }) => ({ fault, probability: probability / all }));
  }
  return { odds: list.toSorted((a, b) => b.probability - a.probability), left };
}

/** What a test is known by; else what it found first. */
const SHOWN: Partial<Record<TestName, string>> = {
  isolation: HOUSE_SHARE,
  sounding: 'lower than the static level of the file',
};

function evidenceOf(test: TestName, found: readonly Found[]): Evidence | null {
  const shown = found.find(({ what }) => what === SHOWN[test]) ?? found[0];
  if (shown === undefined) return null;
  const wanted = found.find(({ what }) => what === 'precharge wanted');
  const expected = shown.unit === 'Pa' && wanted !== undefined ? wanted.value : null;
  const { what, value, std, unit } = shown;
  return {
    says: `by the ${OWNER_TESTS[test].name}: ${what}`,
    observed: value,
    expected,
    expectedStd: std,
    unit,
  };
}

/** What the tests found, with how far each moves the fault that is told. */
export function evidenceOfTests(
  tests: readonly Spoken[],
  told: { fault: FaultName; instead: readonly Chance[] },
): Dated[] {
  const rival = told.instead[0]?.fault ?? null;
  return tests.flatMap(({ over, evidence, startS, stopS }) => {
    if (evidence === null) return [];
    const logOf = (fault: FaultName | null) => over.find((o) => o.fault === fault)?.log ?? 0;
    const logOverSound = logOf(told.fault);
    const logOverRival = rival === null ? null : logOverSound - logOf(rival);
    const moves = { fault: told.fault, logOverSound, rival, logOverRival };
    return [{ ...evidence, moves, fromS: startS, toS: stopS }];
  });
}
