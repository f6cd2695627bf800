import { CHANNELS, type Channel, type SetAsideReason } from '../../model/reading.ts';
import { resolvePack, type SenmlIssue, type SenmlRecord } from './resolve.ts';
import { senmlToSi } from './units.ts';

export interface SenmlReading {
  channel: number;
  /** SI. */
  value: number;
  /** Unix s, or s after arrival when `relative`. */
  timeS: number;
  relative: boolean;
}

/** What a pack of live readings holds. */
export interface SenmlPack {
  boot: number | null;
  seq: number | null;
  /** s since the boot, for a device without a clock. */
  uptimeS: number | null;
  readings: (SenmlReading & { index: number })[];
  refused: { index: number; code: SetAsideReason | SenmlIssue }[];
}

const PACK_WORDS = ['boot', 'seq', 'uptime'] as const;

/** The word after the last `/` of a resolved name, which is the channel. */
export function lastWord(name: string): string {
  return name.slice(name.lastIndexOf('/') + 1);
}

/** A record as a reading of its channel, or why it is none. */
export function toReading(record: SenmlRecord): SenmlReading | { wrong: SetAsideReason } {
  const channel = CHANNELS.indexOf(lastWord(record.name) as Channel);
  if (channel < 0) return { wrong: 'unknown-channel' };
  const toSi = record.unit === null ? null : senmlToSi(CHANNELS[channel]!, record.unit);
  if (toSi === null) return { wrong: 'wrong-unit' };
  if (typeof record.value !== 'number') return { wrong: 'unreadable-value' };
  const value = record.value * toSi.scale + toSi.offset;
  if (!Number.isFinite(value)) return { wrong: 'not-finite' };
  return { channel, value, timeS: record.timeS, relative: record.relative };
}

/** Reads a parsed pack of live readings with its `boot`, `seq` and `uptime`. */
export function readPack(json: unknown): SenmlPack {
  const { records, issues } = resolvePack(json);
  const words = { boot: null, seq: null, uptime: null } as Record<string, number | null>;
  const pack: SenmlPack = { boot: null, seq: null, uptimeS: null, readings: [], refused: [] };
  for (const { index, issue } of issues) pack.refused.push({ index, code: issue });
  for (const record of records) {
    const { index } = record;
    const word = PACK_WORDS.find((one) => one === lastWord(record.name));
    if (word !== undefined) {
      const { value } = record;
      const fits = typeof value === 'number' && value >= 0;
      if (fits && (word === 'uptime' || Number.isSafeInteger(value))) words[word] = value;
      else pack.refused.push({ index, code: 'unreadable-value' });
      continue;
    }
    const reading = toReading(record);
    if ('wrong' in reading) pack.refused.push({ index, code: reading.wrong });
    else pack.readings.push({ ...reading, index });
  }
  pack.boot = words.boot ?? null;
  pack.seq = words.seq ?? null;
  pack.uptimeS = words.uptime ?? null;
  pack.refused.sort((a, b) => a.index - b.index);
  return pack;
}
