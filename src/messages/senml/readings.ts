import { CHANNELS, type Channel, type SetAsideReason } from '../../model/reading.ts';
import { resolvePack, type SenmlIssue, type SenmlRecord } from './resolve.ts';
import { secondaryUnit, senmlToSi } from './units.ts';

export interface SenmlReading {
  channel: number;
  /** SI. */
  value: number;
  /** Unix s, or s after arrival when `relative`. */
  timeS: number;
  relative: boolean;
}

/** Why a record is of no use. */
export type RecordRefusal = SetAsideReason | SenmlIssue | 'name-too-long' | 'too-many-records';

/** What a pack of live readings holds. */
export interface SenmlPack {
  /** The base name before its last `/`, '' without one. */
  device: string;
  boot: number | null;
  seq: number | null;
  /** s since the boot, for a device without a clock. */
  uptimeS: number | null;
  /** Unix s at that uptime, where the device says. */
  uptimeAtS: number | null;
  readings: (SenmlReading & { index: number })[];
  refused: { index: number; code: RecordRefusal }[];
}

export interface PackBounds {
  records: number;
  nameChars: number;
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
  return packOf('', records, issues);
}

/** The same with bounds, and a pack for each device in it; no more records are looked at. */
export function readPacks(json: unknown, bounds: PackBounds): SenmlPack[] {
  const all = Array.isArray(json) ? json : [json];
  const { records, issues } = resolvePack(all.slice(0, bounds.records));
  const refused: SenmlPack['refused'] = issues.map(({ index, issue }) => ({ index, code: issue }));
  // One word for all of them: a record of a few bytes is not worth an answer of its own.
  if (all.length > bounds.records)
    refused.push({ index: bounds.records, code: 'too-many-records' });
  const byDevice = new Map<string, typeof records>();
  for (const record of records) {
    const { index, name, device } = record;
    if (name.length > bounds.nameChars) refused.push({ index, code: 'name-too-long' });
    else if (byDevice.has(device)) byDevice.get(device)!.push(record);
    else byDevice.set(device, [record]);
  }
  const packs = [...byDevice].map(([device, of]) => packOf(device, of, []));
  if (packs.length === 0) packs.push(packOf('', [], []));
  packs[0]!.refused = [...packs[0]!.refused, ...refused].sort((a, b) => a.index - b.index);
  return packs;
}

function packOf(
  device: string,
  records: (SenmlRecord & { index: number })[],
  issues: { index: number; issue: SenmlIssue }[],
): SenmlPack {
  const pack: SenmlPack = {
    device,
    boot: null,
    seq: null,
    uptimeS: null,
    uptimeAtS: null,
    readings: [],
    refused: issues.map(({ index, issue }) => ({ index, code: issue })),
  };
  for (const record of records) {
    const { index } = record;
    const word = PACK_WORDS.find((one) => one === lastWord(record.name));
    const reading = word === undefined ? toReading(record) : null;
    if (word !== undefined) {
      const wrong = takeWord(pack, word, record);
      if (wrong !== null) pack.refused.push({ index, code: wrong });
    } else if ('wrong' in reading!) pack.refused.push({ index, code: reading.wrong });
    else pack.readings.push({ ...reading!, index });
  }
  pack.refused.sort((a, b) => a.index - b.index);
  return pack;
}

/** Takes `boot`, `seq` or `uptime` into the pack, or says why it cannot be. */
function takeWord(
  pack: SenmlPack,
  word: (typeof PACK_WORDS)[number],
  { value, unit, timeS, relative }: SenmlRecord,
): SetAsideReason | null {
  if (typeof value !== 'number' || value < 0) return 'unreadable-value';
  if (word !== 'uptime') {
    if (!Number.isSafeInteger(value)) return 'unreadable-value';
    pack[word] = value;
    return null;
  }
  const toS = unit === null || unit === 's' ? { primary: 's', scale: 1 } : secondaryUnit(unit);
  if (toS?.primary !== 's') return 'wrong-unit';
  pack.uptimeS = value * toS.scale;
  pack.uptimeAtS = relative ? null : timeS;
  return null;
}
