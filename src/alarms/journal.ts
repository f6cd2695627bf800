import type { Alarm, AlarmEntry, DeclaredService, Notice } from '../model/alarm.ts';

/** A notice and what became of it at each receiver that it is for. */
export interface Posted {
  notice: Notice;
  atS: number;
  /** Receivers that have it not yet, nor never will. */
  open: Set<string>;
}

/** How telling a receiver goes. */
export interface Line {
  /** Tries in a row that failed. */
  tries: number;
  lastS: number;
}

/** What the record of alarms of one well comes to. */
export interface AlarmBook {
  alarms: Map<string, Alarm>;
  service: DeclaredService | null;
  /** Only those that are open somewhere. */
  posted: Map<string, Posted>;
  lines: Map<string, Line>;
  /** By receiver, the alarms that it was told of and not told to be over. */
  heardOf: Map<string, Set<string>>;
  /** Numbers given out so far. */
  alarmsMade: number;
  noticesMade: number;
  /** Of the last entry; every entry is later than the one before. */
  lastS: number;
  entries: number;
}

/** Alarms that are over are kept in memory up to this many; the record has all. */
const MOST_OVER = 200;

export const emptyBook = (): AlarmBook => ({
  alarms: new Map(),
  service: null,
  posted: new Map(),
  lines: new Map(),
  heardOf: new Map(),
  alarmsMade: 0,
  noticesMade: 0,
  lastS: -Infinity,
  entries: 0,
});

/** Takes an entry in. The book is what its entries come to, so a restart changes nothing. */
export function enter(book: AlarmBook, entry: AlarmEntry, atS: number): void {
  book.lastS = atS;
  book.entries += 1;
  if ('alarm' in entry) enterAlarm(book, entry.alarm);
  else if (entry.what === 'service-declared') book.service = entry.service;
  else if (entry.what === 'service-ended') book.service = null;
  else if (entry.what === 'notice') {
    book.noticesMade += 1;
    const { notice, to } = entry;
    if (to.length > 0) book.posted.set(notice.id, { notice, atS, open: new Set(to) });
  } else if (entry.what === 'delivery') enterDelivery(book, entry, atS);
}

function enterAlarm(book: AlarmBook, alarm: Alarm): void {
  if (!book.alarms.has(alarm.id)) book.alarmsMade += 1;
  // Put at the end, so that those over for longest stand first.
  book.alarms.delete(alarm.id);
  book.alarms.set(alarm.id, alarm);
  const over = [...book.alarms.values()].filter(({ state }) => state === 'normal');
  for (const { id } of over.slice(0, Math.max(over.length - MOST_OVER, 0))) {
    book.alarms.delete(id);
    for (const heard of book.heardOf.values()) heard.delete(id);
  }
}

function enterDelivery(
  book: AlarmBook,
  entry: Extract<AlarmEntry, { what: 'delivery' }>,
  atS: number,
): void {
  const { receiver, notice, outcome } = entry;
  if (outcome === 'failed') book.lines.set(receiver, { tries: entry.tries, lastS: atS });
  else if (outcome === 'delivered') book.lines.delete(receiver);
  if (outcome === 'failed') return;
  const posted = book.posted.get(notice);
  if (posted === undefined) return;
  if (outcome === 'delivered') hear(book, receiver, posted.notice);
  posted.open.delete(receiver);
  if (posted.open.size === 0) book.posted.delete(notice);
}

function hear(book: AlarmBook, receiver: string, { alarm, kind }: Notice): void {
  if (alarm === null) return;
  const heard = book.heardOf.get(receiver) ?? new Set();
  book.heardOf.set(receiver, heard);
  if (kind === 'over') heard.delete(alarm);
  else heard.add(alarm);
}

/** Whether what it tells of is there, for all that is known. */
export const stands = ({ state }: Alarm): boolean =>
  state === 'unacknowledged' || state === 'acknowledged';
