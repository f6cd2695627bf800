import type { FaultName } from '../model/faults.ts';
import { type Urgency, weightOf } from '../model/study.ts';

const MINUTE_S = 60;
const HOUR_S = 3600;
const DAY_S = 86_400;

/** When a finding becomes an alarm, and when it is one no more. */
interface Rule {
  /** It stands for so long before it is told [s]. */
  onDelayS: number;
  /** It is gone for so long before that is believed [s]. */
  offDelayS: number;
  /** It becomes an alarm at this belief in as bad or worse, and is gone below the other. */
  onAt: number;
  offBelow: number;
}

/**
 * By urgency. What cannot wait has its delay in the diagnosis already (1.5 s to 20 s of readings).
 * A deadband and delays on and off as ISA-18.2 asks for; their lengths are common practice for a
 * house, where a person needs minutes to act on what can wait until tonight.
 */
const RULES: Record<Exclude<Urgency, 'note'>, Rule> = {
  now: { onDelayS: 0, offDelayS: 5 * MINUTE_S, onAt: 0.3, offBelow: 0.2 },
  today: { onDelayS: MINUTE_S, offDelayS: 15 * MINUTE_S, onAt: 0.5, offBelow: 0.35 },
  days: { onDelayS: 10 * MINUTE_S, offDelayS: HOUR_S, onAt: 0.5, offBelow: 0.35 },
  weeks: { onDelayS: HOUR_S, offDelayS: DAY_S, onAt: 0.5, offBelow: 0.35 },
};

/** The rule for an urgency; null for a note, which asks nobody to do anything: no alarm. */
export const ruleOf = (urgency: Urgency): Rule | null =>
  urgency === 'note' ? null : RULES[urgency];

/** What comes back within this is the same alarm. */
export const SAME_ALARM_S = DAY_S;
/** A declared service ends by itself after this, and may be asked for up to the other. */
export const SERVICE_S = 4 * HOUR_S;
export const LONGEST_SERVICE_S = 12 * HOUR_S;

/** For how long an alarm may be shelved: what matters today for half a day at most. */
export const longestShelfS = (urgency: Urgency): number =>
  weightOf(urgency) >= weightOf('today') ? 12 * HOUR_S : 30 * DAY_S;

/** The fault by which a silent device is told. */
export const SILENCE: FaultName = 'data-gap';
export const SILENCE_URGENCY: Urgency = 'days';
