import type { Channel } from '../../model/reading.ts';

/** Value in the primary unit = value * scale + offset. */
export interface SenmlUnit {
  primary: string;
  scale: number;
  offset: number;
}

/** Secondary units of RFC 8798 Table 2 that measure what our channels measure. */
const SECONDARY = new Map<string, SenmlUnit>(
  Object.entries({
    ms: { primary: 's', scale: 1 / 1000, offset: 0 },
    min: { primary: 's', scale: 60, offset: 0 },
    h: { primary: 's', scale: 3600, offset: 0 },
    mV: { primary: 'V', scale: 1 / 1000, offset: 0 },
    mA: { primary: 'A', scale: 1 / 1000, offset: 0 },
    hPa: { primary: 'Pa', scale: 100, offset: 0 },
    mm: { primary: 'm', scale: 1 / 1000, offset: 0 },
    cm: { primary: 'm', scale: 1 / 100, offset: 0 },
    km: { primary: 'm', scale: 1000, offset: 0 },
  }),
);

/** Primary units of RFC 8428 section 12.1 that each channel takes, with what makes them SI. */
const TAKES: Record<Channel, Record<string, { scale: number; offset: number }>> = {
  pressure: { Pa: { scale: 1, offset: 0 } },
  current: { A: { scale: 1, offset: 0 } },
  'current-peak': { A: { scale: 1, offset: 0 } },
  'start-time': { s: { scale: 1, offset: 0 } },
  mains: { V: { scale: 1, offset: 0 } },
  level: { m: { scale: 1, offset: 0 } },
  flow: { 'm3/s': { scale: 1, offset: 0 }, 'l/s': { scale: 0.001, offset: 0 } },
  'air-temperature': { Cel: { scale: 1, offset: 273.15 }, K: { scale: 1, offset: 0 } },
  'pressure-raw': { V: { scale: 1, offset: 0 }, count: { scale: 1, offset: 0 } },
  'current-raw': { V: { scale: 1, offset: 0 }, count: { scale: 1, offset: 0 } },
};

/** How a value in a SenML unit becomes SI for a channel; null when the unit is not its own. */
export function senmlToSi(
  channel: Channel,
  unit: string,
): { scale: number; offset: number } | null {
  const secondary = SECONDARY.get(unit);
  const primary = secondary?.primary ?? unit;
  const taken = Object.hasOwn(TAKES[channel], primary) ? TAKES[channel][primary] : undefined;
  if (taken === undefined) return null;
  if (secondary === undefined) return taken;
  return {
    scale: taken.scale * secondary.scale,
    offset: taken.scale * secondary.offset + taken.offset,
  };
}

/** The secondary unit of a name, null when it is none of ours. */
export function secondaryUnit(name: string): SenmlUnit | null {
  return SECONDARY.get(name) ?? null;
}
