import type { TestRate } from '../model/well-now.ts';
import { type Asks, GUIDES, type Watch } from './guides.ts';
import { asksOf, missing, type Session } from './session.ts';
import type { Sample, Trace } from './trace.ts';
import type { Seen } from './watch.ts';

/** A test that is on, as it is shown: the words of its steps are in `OWNER_TESTS`. */
export interface SessionView
  extends Pick<Session, 'id' | 'test' | 'state' | 'step' | 'isLeaving' | 'typed' | 'result'> {
  begun: string;
  /** Each step: which of the test it belongs to, what it waits for, how it was passed. */
  steps: { of: number; watch: Watch['kind']; passedBy: 'readings' | 'hand' | null }[];
  /** What the step at hand waits for. */
  seen: (Omit<Seen, 'sinceS'> & { since: string | null }) | null;
  asks: Asks[];
  missing: string[];
  points: { pressurePaGauge: number; flow: string }[];
  /** How the readings come, where that matters. */
  rate: TestRate | null;
  pressurePaGauge: number | null;
  lastReading: string | null;
  /** Pressure of the last minutes, to be drawn: Unix s and Pa gauge. */
  lately: [timeS: number, pressurePaGauge: number][];
}

/** As much as a person at the tank looks back on, s, and the most that is sent of it. */
const LATELY_S = 1200;
const LATELY_MOST = 300;

export function viewOf(
  session: Session,
  now: { trace: Trace | null; seen: Seen | null; rate: TestRate | null },
): SessionView {
  const { id, test, state, step, isLeaving, typed, result, points, passed, begunS } = session;
  const pressure = now.trace?.pressure ?? [];
  const last = pressure.at(-1);
  const asked = GUIDES[test].findIndex(({ asks }) => asks !== undefined);
  return {
    ...{ id, test, state, step, isLeaving, typed, result },
    begun: instant(begunS),
    steps: GUIDES[test].map(({ of, watch }, i) => ({
      of,
      watch: watch.kind,
      passedBy: passed.findLast((one) => one.step === i)?.by ?? null,
    })),
    seen: now.seen && shown(now.seen),
    asks: state !== 'readings' && step >= asked && asked >= 0 ? asksOf(test) : [],
    missing: missing(session),
    points: points.map(({ pressurePaGauge, flow }) => ({ pressurePaGauge, flow })),
    rate: now.rate,
    pressurePaGauge: last?.value ?? null,
    lastReading: last === undefined ? null : instant(last.timeS),
    lately: lately(pressure),
  };
}

const shown = ({ sinceS, ...rest }: Seen): SessionView['seen'] => ({
  ...rest,
  since: sinceS === null || !Number.isFinite(sinceS) ? null : instant(sinceS),
});

function lately(pressure: readonly Sample[]): SessionView['lately'] {
  const fromS = (pressure.at(-1)?.timeS ?? 0) - LATELY_S;
  const recent = pressure.filter(({ timeS }) => timeS >= fromS);
  const step = Math.max(1, Math.ceil(recent.length / LATELY_MOST));
  return recent
    .filter((_, i) => (recent.length - 1 - i) % step === 0)
    .map(({ timeS, value }) => [timeS, value]);
}

const instant = (timeS: number): string => new Date(Math.round(timeS * 1000)).toISOString();
