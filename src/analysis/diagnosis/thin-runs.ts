import { clear, type FindingsState, raise } from './findings.ts';
import { signOdds } from './plain-odds.ts';
import type { RunRecord } from './run-record.ts';

/** A run with fewer readings cannot be followed; this many are told. */
const FOLLOWED = 3;
const THIN_RUNS = 4;
/** Readings that come as often as this miss only what is no run, s. */
const FLICKER_S = 12;

/**
 * Whether a run holds too few readings to be followed, though it was no flicker of the switch;
 * several of them are told.
 */
export function watchSampling(
  state: { thin: number },
  record: RunRecord,
  findings: FindingsState,
  nowS: number,
): boolean {
  const { startS, stopS, readings, everyS } = record;
  const thin = readings < FOLLOWED && everyS > FLICKER_S;
  if (!thin) {
    state.thin = Math.max(state.thin - 1, 0);
    if (state.thin === 0) clear(findings, 'sampling-too-slow', nowS);
    return false;
  }
  state.thin = Math.min(state.thin + 1, THIN_RUNS);
  const [first, ...instead] = signOdds('sampling-too-slow');
  if (state.thin === THIN_RUNS)
    raise(findings, {
      fault: 'sampling-too-slow',
      by: 'sign',
      probability: first!.probability,
      instead,
      sinceS: startS,
      nowS,
      evidence: [
        {
          says: 'a run of the pump holds fewer than three readings; they come this far apart',
          observed: everyS,
          expected: (stopS - startS) / 10,
          expectedStd: null,
          unit: 's',
        },
      ],
    });
  return true;
}
