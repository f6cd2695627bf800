import type { FaultName } from './faults.ts';
import type { Urgency } from './study.ts';

/**
 * States of an alarm as ISA-18.2 and IEC 62682 have them, and `waiting`: its delay on is not over.
 * Shelved and suppressed come beside them, since what is told and what stands are two things.
 */
export const ALARM_STATES = [
  'waiting',
  'unacknowledged',
  'acknowledged',
  'returned-unacknowledged',
  'normal',
] as const;
export type AlarmState = (typeof ALARM_STATES)[number];

/** A finding that is told, or a device that is silent. Instants are Unix s by the service. */
export interface Alarm {
  id: string;
  fault: FaultName;
  /** The silent device; null for an alarm of a finding. */
  device: string | null;
  /** Id of the finding it stands for now. */
  finding: string | null;
  urgency: Urgency;
  probability: number | null;
  /** Since when, by the readings. */
  since: string;
  state: AlarmState;
  seenS: number;
  raisedS: number | null;
  /** Since when what it tells of is not there; its delay off runs. */
  goneS: number | null;
  returnedS: number | null;
  acknowledged: { atS: number; by: string } | null;
  shelved: { untilS: number; by: string } | null;
  suppressed: { by: 'root' | 'service'; root: string | null } | null;
  /** What hides it: it stands as it was when it was last seen. */
  hiddenBy: string | null;
  /** How often it has come. */
  times: number;
  /** The greatest urgency that it was told with. */
  told: Urgency | null;
}

/** Work on the well that somebody has declared. */
export interface DeclaredService {
  did: string;
  by: string;
  fromS: number;
  /** When it ends by itself. */
  untilS: number;
}

export type NoticeKind = 'raised' | 'worse' | 'over' | 'outage' | 'test';

/** What a receiver is told. The same id is the same notice, sent again. */
export interface Notice {
  id: string;
  kind: NoticeKind;
  well: string;
  wellName: string;
  urgency: Urgency;
  /** RFC 3339. */
  at: string;
  alarm: string | null;
  fault: string | null;
  /** One line. */
  subject: string;
  /** What to do with its cautions first, then why. */
  text: string;
}

/** A time in which the service was not there, and what the well did. */
export interface Outage {
  fromS: number;
  toS: number;
  /** `power`: no device spoke either; `service`: readings of that time came in afterwards. */
  cause: 'power' | 'service';
  readings: number;
  before: WellGlance | null;
  after: WellGlance | null;
}

/** What a gauge and an ammeter would show. */
export interface WellGlance {
  at: string;
  pressurePaGauge: number | null;
  currentA: number | null;
  pumpOn: boolean | null;
}

export type DeliveryOutcome = 'delivered' | 'failed' | 'given-up' | 'withdrawn';

/** What becomes of alarms, one line of the record each. */
export type AlarmEntry =
  | { what: AlarmChange; alarm: Alarm; by?: string }
  | { what: 'service-declared'; service: DeclaredService }
  | { what: 'service-ended'; service: DeclaredService; by: string | null }
  | { what: 'outage'; outage: Outage }
  | { what: 'notice'; notice: Notice; to: string[] }
  | {
      what: 'delivery';
      notice: string;
      receiver: string;
      outcome: DeliveryOutcome;
      tries: number;
      says: string | null;
    };

export type AlarmChange =
  | 'seen'
  | 'raised'
  | 'changed'
  | 'back'
  | 'going'
  | 'returned'
  | 'passed'
  | 'acknowledged'
  | 'shelved'
  | 'unshelved'
  | 'suppressed'
  | 'released'
  | 'hidden'
  | 'in-sight'
  | 'told';
