import { CHANNELS, type Channel } from '../../src/model/reading.ts';
import type { Pack } from '../../src/ports/reading-store.ts';

/** One sample in 4 ms and nine tenths of the time elsewhere: an hour passes in two seconds. */
export const HASTY = { sample_us: 4000 };
export const SKIP_S = 0.9;
/** The pump runs all the time, so that there is a reading each second of the board's. */
export const BUSY = { ...HASTY, runs: [[0, 1e9, 8]] };
export const FAIR = { sample_us: 1600 };
/** True time when a board gets its power, as test/device/board/board.py has it. */
export const T0_S = 1_775_433_600;

/** Packs without those that came before, by (boot, seq). */
export function once<T extends Pack>(packs: readonly T[]): T[] {
  const seen = new Set<string>();
  return packs.filter(({ boot, seq }) => {
    const key = `${boot}/${seq}`;
    return !seen.has(key) && seen.add(key);
  });
}

/** Values of a channel, each with the seconds since the power came, by Unix time or by uptime. */
export const valuesOf = (packs: readonly Pack[], channel: Channel) =>
  packs.flatMap(({ readings }) =>
    Array.from(readings.value, (value, i) => ({ value, timeS: readings.timeS[i]!, i }))
      .filter(({ i }) => readings.channel[i] === CHANNELS.indexOf(channel))
      .map(({ value, timeS }) => ({ value, atS: timeS > T0_S / 2 ? timeS - T0_S : timeS })),
  );
export const seqsOf = (packs: readonly Pack[]) => packs.map(({ seq }) => seq ?? -1);
export const countTo = (count: number) => Array.from({ length: count }, (_, i) => i);
export const refusedIn = (packs: readonly Pack[]) => packs.flatMap(({ refused }) => refused);
