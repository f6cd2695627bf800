import { Counters } from '../../src/ingest/counters.ts';
import { GroupInbox, type InboxOptions } from '../../src/ingest/inbox/inbox.ts';
import { type Limits, limitsWith } from '../../src/ingest/limits.ts';
import { PackReader } from '../../src/ingest/pack-reader.ts';
import { MemoryReadings } from './memory-readings.ts';

/** 2026-04-06T00:00:00Z. */
export const NOW_S = 1_775_433_600;

/** An intake on a store in memory, with a clock that stands until it is set. */
export async function intakeWith(
  limits: Partial<Limits> = {},
  options: Partial<InboxOptions> = {},
) {
  const clock = { s: NOW_S, nowS: () => clock.s };
  const store = options.store instanceof MemoryReadings ? options.store : new MemoryReadings();
  const counters = new Counters();
  const all = limitsWith(limits);
  const inbox = await GroupInbox.open({
    ...{ store, waiting: store, clock, counters, limits: all },
    ...options,
  });
  const wells = ['ridge-house', 'barn'];
  const reader = new PackReader({ wells, clock, counters, limits: all });
  return { clock, store, counters, inbox, reader, limits: all };
}

export type Intake = Awaited<ReturnType<typeof intakeWith>>;

/** A pack as a device would write it: one pressure, and boot and seq where given. */
export function senml(pressurePa: number, more: { boot?: number; seq?: number; bt?: number } = {}) {
  const { boot, seq, bt = NOW_S } = more;
  const records: object[] = [
    { bn: 'urn:dev:mac:0024befffe804ff1/', bt, n: 'pressure', u: 'Pa', v: pressurePa },
  ];
  if (boot !== undefined) records.push({ n: 'boot', v: boot });
  if (seq !== undefined) records.push({ n: 'seq', v: seq });
  return JSON.stringify(records);
}

export const bytesOf = (text: string) => new TextEncoder().encode(text);

/** Waits until something holds, and fails after two seconds. */
export async function until(holds: () => boolean): Promise<void> {
  for (let tries = 0; tries < 400; tries++) {
    if (holds()) return;
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
  throw new Error(`still waiting for ${holds}`);
}
