import { clear, type FindingsState, raise } from './findings.ts';

/** Water that goes on flowing: what this house has done before is no news. */
export interface LongFlow {
  /** When water last stood still, as last seen, and for how long it had flowed until then. */
  stillS: number;
  flowedS: number;
  told: boolean;
  /** Flows of the last weeks that were long and ended by themselves. */
  before: { endS: number; s: number }[];
}

/** Steady demand for so long asks for a look (handbook A6). */
const LONG_S = 3600;
/** What a house did within so many days it may do again, and somewhat longer. */
const REMEMBERED_S = 21 * 86_400;
const REMEMBERED_FROM_S = 0.6 * LONG_S;
/** Nobody waters for longer than this as a habit. */
const REMEMBERED_TO_S = 6 * LONG_S;
const LONGER = 1.25;
const KEPT = 40;

/** How often water that flows for an hour is what (from memory). */
const INSTEAD = [
  { fault: 'leak-burst', probability: 0.25 },
  { fault: 'leak-house', probability: 0.06 },
  { fault: 'drop-pipe-parted', probability: 0.04 },
  { fault: 'unknown-trouble', probability: 0.05 },
] as const;
const HEAVY_USE = 0.6;

export function createLongFlow(): LongFlow {
  return { stillS: NaN, flowedS: 0, told: false, before: [] };
}

/**
 * Takes every row: the moment at which water last stood still, NaN before any, and `heardS` at
 * which the last silence ended, over which nobody knows.
 */
export function watchLongFlow(
  state: LongFlow,
  findings: FindingsState,
  now: { timeS: number; stillS: number; heardS: number; knownUse: boolean },
): void {
  const { timeS, stillS } = now;
  if (Number.isNaN(stillS)) return;
  if (stillS !== state.stillS) {
    ended(state, findings, timeS, stillS !== now.heardS);
    state.stillS = stillS;
  }
  state.flowedS = timeS - stillS;
  if (state.flowedS < LONG_S || state.told || now.knownUse) return;
  if (state.flowedS < LONGER * longestBefore(state, timeS)) return;
  state.told = true;
  raise(findings, {
    fault: 'heavy-use',
    by: 'sign',
    probability: HEAVY_USE,
    instead: [...INSTEAD],
    sinceS: stillS,
    nowS: timeS,
    evidence: [
      {
        says: 'water has not stood still for this long',
        observed: state.flowedS,
        expected: state.before.length === 0 ? null : longestBefore(state, timeS),
        expectedStd: null,
        unit: 's',
        moves: {
          fault: 'heavy-use',
          logOverSound: null,
          rival: 'leak-burst',
          logOverRival: Math.log(HEAVY_USE / INSTEAD[0].probability),
        },
      },
    ],
  });
}

/** The longest flow of the last weeks, s; 0 without. */
const longestBefore = ({ before }: LongFlow, nowS: number): number =>
  Math.max(0, ...before.filter(({ endS }) => nowS - endS < REMEMBERED_S).map(({ s }) => s));

function ended(state: LongFlow, findings: FindingsState, nowS: number, isSeen: boolean): void {
  if (isSeen && state.flowedS > REMEMBERED_FROM_S && state.flowedS < REMEMBERED_TO_S) {
    state.before.push({ endS: nowS, s: state.flowedS });
    if (state.before.length > KEPT) state.before.shift();
  }
  if (!state.told) return;
  state.told = false;
  clear(findings, 'heavy-use', nowS);
}
