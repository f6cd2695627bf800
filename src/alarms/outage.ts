import type { Outage, WellGlance } from '../model/alarm.ts';
import type { WellNow } from '../model/well-now.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import type { DeviceState } from './devices.ts';

/** The pulse is written down this often, s; two that are missing are an outage. */
export const PULSE_EVERY_S = 60;
const OUTAGE_S = 150;
/** What the well did is told once readings of so long after it are in, or after the other, s. */
const SETTLED_S = 180;
const LONGEST_WAIT_S = 1800;
/** Readings near the edges of the outage do not tell that a device had power. */
const EDGE_S = 60;

export interface PendingOutage {
  fromS: number;
  toS: number;
  before: WellGlance | null;
}

/** That the service lives, written over once a minute: one record of kind `pulse`. */
export interface Pulse {
  atS: number;
  /** It was told to stop, and did. */
  stopped: boolean;
  devices: DeviceState[];
  glance: WellGlance | null;
  duty: number;
  outage: PendingOutage | null;
}

export function glanceOf({ at, pressurePaGauge, currentA, pump }: WellNow): WellGlance | null {
  return at === null ? null : { at, pressurePaGauge, currentA, pumpOn: pump.on };
}

/** The outage that a start finds; null where the service was stopped on purpose, or not away. */
export function outageSince(pulse: Pulse | null, nowS: number): PendingOutage | null {
  if (pulse === null) return null;
  if (pulse.outage !== null) return pulse.outage;
  if (pulse.stopped || nowS - pulse.atS < OUTAGE_S) return null;
  return { fromS: pulse.atS, toS: nowS, before: pulse.glance };
}

/** When the service was last known to be there. */
export interface Alive {
  atS: number;
  glance: WellGlance | null;
  /** Share of the last hour or so in which the pump ran. */
  duty: number;
  /** Its last stop was asked for: the first gap after it is none. */
  stopped: boolean;
}

const DUTY_S = 3600;
/** A pump that was on before a gap was not so for all of it, s. */
const MOST_AT_ONCE_S = 120;

/** The share after some more time in which the pump was on or off. */
export function dutyAfter(duty: number, on: boolean | null, lengthS: number): number {
  if (on === null) return duty;
  const share = 1 - Math.exp(-Math.min(lengthS, MOST_AT_ONCE_S) / DUTY_S);
  return duty + share * ((on ? 1 : 0) - duty);
}

/**
 * The outage that a leap of the clock shows: a machine without a clock of its own comes up with the
 * time of before and learns the right one later; one that slept did not know it.
 */
export function outageInLeap({ atS, glance, stopped }: Alive, nowS: number): PendingOutage | null {
  if (stopped || nowS - atS < OUTAGE_S) return null;
  return { fromS: atS, toS: nowS, before: glance };
}

/** The outage with what the well did; null while that is not in yet. */
export async function settledOutage(
  pending: PendingOutage,
  store: ReadingStore,
  seen: { wellId: string; now: WellNow; nowS: number },
): Promise<Outage | null> {
  const { fromS, toS, before } = pending;
  const atS = seen.now.at === null ? NaN : Date.parse(seen.now.at) / 1000;
  const isIn = atS >= toS + SETTLED_S && seen.now.replay === null;
  if (!isIn && seen.nowS < toS + LONGEST_WAIT_S) return null;
  const readings = await countOf(store, seen.wellId, [fromS + EDGE_S, toS - EDGE_S]);
  const after = atS > toS ? glanceOf(seen.now) : null;
  return { fromS, toS, cause: readings > 0 ? 'service' : 'power', readings, before, after };
}

async function countOf(
  store: ReadingStore,
  wellId: string,
  [fromS, toS]: [number, number],
): Promise<number> {
  let count = 0;
  if (toS > fromS)
    for await (const batch of store.readings(wellId, fromS, toS)) count += batch.count;
  return count;
}
