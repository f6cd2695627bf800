import { assert } from '../base/assert.ts';
import { CHANNELS, type Channel } from '../model/reading.ts';
import type { ReadingStore } from '../ports/reading-store.ts';

/** As SenML (RFC 8428 section 12.1) and recorded logs write what is kept. */
const UNITS: Record<Channel, string> = {
  pressure: 'Pa',
  current: 'A',
  'current-peak': 'A',
  'start-time': 's',
  mains: 'V',
  level: 'm',
  flow: 'm3/s',
  'air-temperature': 'K',
  'pressure-raw': 'count',
  'current-raw': 'count',
};
/** A larger number in a time column is read as milliseconds. */
const MOST_CSV_S = 1e10;
/** A smaller time in SenML counts from the moment of arrival (RFC 8428 section 4.5.3). */
const LEAST_SENML_S = 2 ** 28;

type Kept = Pick<ReadingStore, 'readings'>;

export interface Exported {
  wellId: string;
  fromS: number;
  toS: number;
}

const fitsCsv = (timeS: number): boolean => Math.abs(timeS) < MOST_CSV_S;

/**
 * A recorded log (docs/formats/logs.md) of all readings of a span, piece by piece. Read back, it
 * gives the same readings in the same order, to the last bit. It begins once all has been read:
 * what cannot be is known before the first piece. Throws RangeError on times that it cannot hold.
 */
export async function* exportCsv(store: Kept, span: Exported): AsyncIterable<string> {
  const { wellId, fromS, toS } = span;
  const present = new Set<number>();
  for await (const { count, timeS, channel } of store.readings(wellId, fromS, toS)) {
    for (const one of channel.subarray(0, count)) present.add(one);
    const wrong = timeS.subarray(0, count).find((t) => !fitsCsv(t));
    if (wrong !== undefined) throw new RangeError(`${wrong} s cannot stand in a CSV log`);
  }
  const columns = [...present].sort((a, b) => a - b);
  const heading = (channel: number) => `,${CHANNELS[channel]} [${UNITS[CHANNELS[channel]!]}]`;
  yield `time${columns.map(heading).join('')}\n`;
  for await (const { count, timeS, channel, value } of store.readings(wellId, fromS, toS)) {
    let text = '';
    let cell = columns.length;
    for (let i = 0; i < count; i++) {
      const at = columns.indexOf(channel[i]!);
      const t = timeS[i]!;
      // One that came while this was written, which the first row or the form does not allow.
      if (at < 0 || !fitsCsv(t)) continue;
      if (i === 0 || t !== timeS[i - 1] || at < cell) {
        if (text !== '') text += `${','.repeat(columns.length - cell)}\n`;
        text += decimals(t);
        cell = 0;
      }
      text += `${','.repeat(at - cell + 1)}${decimals(value[i]!)}`;
      cell = at + 1;
    }
    yield text === '' ? '' : `${text}${','.repeat(columns.length - cell)}\n`;
  }
}

/** The same as one SenML pack. Throws RangeError on times that SenML takes for relative ones. */
export async function* exportSenml(store: Kept, span: Exported): AsyncIterable<string> {
  const { wellId, fromS, toS } = span;
  for await (const { count, timeS } of store.readings(wellId, fromS, toS)) {
    const wrong = timeS.subarray(0, count).find((t) => t < LEAST_SENML_S);
    if (wrong !== undefined)
      throw new RangeError(`${wrong} s cannot stand in SenML as an absolute time: use CSV`);
  }
  yield `[{"bn":${JSON.stringify(`${wellId}/`)}}`;
  for await (const { count, timeS, channel, value } of store.readings(wellId, fromS, toS)) {
    let text = '';
    for (let i = 0; i < count; i++) {
      const name = CHANNELS[channel[i]!];
      assert(name !== undefined, 'a channel of the model');
      // One that came while this was written.
      if (timeS[i]! < LEAST_SENML_S) continue;
      const [t, v] = [decimals(timeS[i]!), decimals(value[i]!)];
      text += `,\n{"n":"${name}","u":"${UNITS[name]}","t":${t},"v":${v}}`;
    }
    yield text;
  }
  yield ']\n';
}

/** The shortest digits that give the same double. */
function decimals(value: number): string {
  return Object.is(value, -0) ? '-0' : String(value);
}
