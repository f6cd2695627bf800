import { CHANNELS, type Channel } from '../../src/model/reading.ts';
import type { Received } from './link.ts';

/** One sample in 4 ms and nine tenths of the time elsewhere: an hour passes in two seconds. */
export const HASTY = { sample_us: 4000 };
export const SKIP_S = 0.9;
export const FAIR = { sample_us: 1600 };
/** True time when a board gets its power, as test/device/board/board.py has it. */
export const T0_S = 1_775_433_600;

/** Packs without those that came before, by (boot, seq). */
export function once(packs: readonly Received[]): Received[] {
  const seen = new Set<string>();
  return packs.filter(({ boot, seq }) => {
    const key = `${boot}/${seq}`;
    return !seen.has(key) && seen.add(key);
  });
}
export const valuesOf = (packs: readonly Received[], channel: Channel) =>
  packs.flatMap((pack) =>
    pack.readings
      .filter((reading) => reading.channel === CHANNELS.indexOf(channel))
      .map(({ value, timeS, relative }) => ({
        value,
        uptimeS: relative ? (pack.uptimeS ?? Number.NaN) + timeS : timeS - T0_S,
      })),
  );
export const seqsOf = (packs: readonly Received[]) => packs.map(({ seq }) => seq ?? -1);
export const countTo = (count: number) => Array.from({ length: count }, (_, i) => i);
export const refusedIn = (packs: readonly Received[]) => packs.flatMap(({ refused }) => refused);
