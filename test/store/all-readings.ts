import type { ReadingStore } from '../../src/ports/reading-store.ts';

export type Reading = [timeS: number, channel: number, value: number];

export async function allReadings(
  store: ReadingStore,
  wellId: string,
  [fromS, toS]: [number, number] = [-1e11, 1e11],
): Promise<Reading[]> {
  const all: Reading[] = [];
  for await (const { count, timeS, channel, value } of store.readings(wellId, fromS, toS))
    for (let i = 0; i < count; i++) all.push([timeS[i]!, channel[i]!, value[i]!]);
  return all;
}
