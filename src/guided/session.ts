import { OWNER_TESTS } from '../model/owner-tests.ts';
import type { TestEntry } from '../model/study.ts';
import { parseQuantity } from '../units/parse.ts';
import { type Asks, GUIDES, type GuidedTest } from './guides.ts';
import { type Trace, thinned } from './trace.ts';
import { type Known, type Seen, seenOf } from './watch.ts';

/** A step that is behind, and how it was known. */
export interface Passed {
  step: number;
  atS: number;
  by: 'readings' | 'hand';
}

/** What came of a test, by the evaluation that a study makes; `at`: when that was worked out. */
type TestResult = Pick<TestEntry, 'unusable' | 'found' | 'bearing'> & { at: string };

/** One steady pressure of a throttle test, with the flow that was measured at it. */
export interface Point {
  atS: number;
  pressurePaGauge: number;
  flow: string;
}

/**
 * A test that is being made, or was: plain data. It stands in the service, so whoever makes it may
 * close the page and come back.
 */
export interface Session {
  id: string;
  test: GuidedTest;
  begunS: number;
  /**
   * `readings`: whether they come fast enough is looked at. `on`: step by step. `figures`: all is
   * done but what was measured is not typed in. `judged`: what came of it is known. `kept`: it
   * stands in the well file. `given-up`.
   */
  state: 'readings' | 'on' | 'figures' | 'judged' | 'kept' | 'given-up';
  step: number;
  stepFromS: number;
  /** It is being given up, and only the breaker has to be seen on again. */
  isLeaving: boolean;
  marks: Record<string, number>;
  typed: Record<string, string>;
  points: Point[];
  passed: Passed[];
  result: TestResult | null;
  /** Blocks of it that stand in the well file already. */
  written: number;
  /** Pa gauge by Unix s, and when the pump ran: as it was, for whoever looks at it later. */
  trace: Trace | null;
}

/** Thrown where something cannot be done with a test now. */
export class GuideRefusal extends Error {}

export const begun = (test: GuidedTest, nowS: number): Session => ({
  id: `${test}-${Math.round(nowS)}`,
  test,
  begunS: nowS,
  state: OWNER_TESTS[test].readingS === null ? 'on' : 'readings',
  step: 0,
  stepFromS: nowS,
  isLeaving: false,
  marks: {},
  typed: {},
  points: [],
  passed: [],
  result: null,
  written: 0,
  trace: null,
});

export const isOpen = ({ state }: Session): boolean => state !== 'kept' && state !== 'given-up';

/** Readings come fast enough, or it is gone on with all the same. */
export function readingsDo(session: Session, nowS: number): void {
  if (session.state !== 'readings') return;
  session.state = 'on';
  session.stepFromS = nowS;
}

/** What the readings show of the step at hand; null where no step is. */
export function look(session: Session, trace: Trace, known: Omit<Known, 'fromS'>): Seen | null {
  const step = GUIDES[session.test][session.step];
  if (session.state !== 'on' || step === undefined) return null;
  return seenOf(step.watch, trace, { ...known, fromS: session.stepFromS });
}

/** Goes on by itself as far as the readings show it. Returns whether it did. */
export function advance(session: Session, seen: Seen | null, nowS: number): boolean {
  if (seen === null || !seen.isOver) return false;
  pass(session, seen.sinceS ?? nowS, 'readings', nowS);
  return true;
}

/** Whoever makes the test says that the step is done; said twice it counts once. */
export function confirm(session: Session, step: number, seen: Seen | null, nowS: number): void {
  if (session.state === 'readings' && step < 0) readingsDo(session, nowS);
  else if (session.state === 'on' && step === session.step)
    pass(session, seen?.sinceS ?? nowS, 'hand', nowS);
}

function pass(session: Session, sinceS: number, by: Passed['by'], nowS: number): void {
  const steps = GUIDES[session.test];
  const { watch, marks } = steps[session.step]!;
  // What comes after a rest begins when the rest ends, a draw and its end where they are seen.
  const isSeen = watch.kind === 'draw' || watch.kind === 'still';
  if (marks !== undefined) session.marks[marks] = isSeen ? sinceS : nowS;
  session.passed.push({ step: session.step, atS: nowS, by });
  session.step += 1;
  session.stepFromS = nowS;
  if (session.isLeaving) session.state = 'given-up';
  else if (session.step >= steps.length) session.state = 'figures';
}

/** Takes what was measured; one that cannot be is refused with what was expected. */
export function type(session: Session, key: string, text: string): void {
  if (!isOpen(session)) throw new GuideRefusal('expected a test that is on, found none');
  const asks = asksOf(session.test).find((one) => one.key === key);
  if (asks === undefined || asks.isPoint) {
    const keys = asksOf(session.test).map((one) => one.key);
    throw new GuideRefusal(`expected one of ${keys.join(', ') || 'none'}, found '${key}'`);
  }
  session.typed[key] = checked(asks, text);
  if (session.state === 'judged') session.state = 'figures';
}

/** A flow that was measured at the pressure that stands now. */
export function addPoint(session: Session, flow: string, atS: number, pa: number): void {
  const asks = asksOf(session.test).find(({ isPoint }) => isPoint);
  if (session.state !== 'on' || asks === undefined)
    throw new GuideRefusal('expected a test with steady points that is on, found none');
  if (!Number.isFinite(pa)) throw new GuideRefusal('expected a pressure now, found no reading');
  session.points.push({ atS, pressurePaGauge: pa, flow: checked(asks, flow) });
}

function checked({ kind }: Asks, text: string): string {
  const clean = text.trim();
  if (typeof kind !== 'string') {
    if (kind.includes(clean)) return clean;
    throw new GuideRefusal(`expected one of ${kind.join(', ')}, found "${clean}"`);
  }
  const parsed = parseQuantity(clean, kind);
  if (parsed.ok) return clean;
  throw new GuideRefusal(`expected ${parsed.expected}, found ${parsed.found}`);
}

/** Everything that a test asks for, each once. */
export const asksOf = (test: GuidedTest): Asks[] => {
  const all = GUIDES[test].flatMap(({ asks }) => asks ?? []);
  return all.filter((one, i) => all.findIndex(({ key }) => key === one.key) === i);
};

/** What is still missing of what was measured. */
export const missing = (session: Session): string[] =>
  asksOf(session.test)
    .filter(({ key, isNeeded, isPoint }) => {
      if (isPoint) return session.points.length < 2;
      return isNeeded && session.typed[key] === undefined;
    })
    .map(({ key }) => key);

/** Given up: at once, or once the breaker that was turned off is seen to be on again. */
export function giveUp(session: Session): void {
  if (!isOpen(session)) return;
  const steps = GUIDES[session.test];
  const full = steps.findIndex(({ watch }) => watch.kind === 'full-again');
  const off = steps.findIndex(({ breakerOff }) => breakerOff);
  const isOff = session.state === 'on' && off >= 0 && session.step > off && session.step <= full;
  if (!isOff || session.isLeaving) session.state = 'given-up';
  else {
    session.isLeaving = true;
    session.step = full;
    session.stepFromS = session.passed.at(-1)?.atS ?? session.begunS;
  }
}

const TRACE_MOST = 600;

/** What of the readings is kept with it. */
export const keptTrace = ({ pressure, current }: Trace): Trace => ({
  pressure: thinned(pressure, TRACE_MOST),
  current: thinned(current, TRACE_MOST),
});
