import type { Alarm, AlarmEntry, NoticeKind } from '../model/alarm.ts';
import type { AnyReceiver } from '../model/alarm-settings.ts';
import { type Urgency, weightOf } from '../model/study.ts';
import { type AlarmBook, type Line, type Posted, stands } from './journal.ts';
import { isQuiet } from './quiet.ts';

/** The first try after a failure comes after this, the next after twice as long, s. */
const FIRST_WAIT_S = 10;
const LONGEST_WAIT_S = 900;
/** What nobody could be told within this is history, s. */
const GIVEN_UP_S = 3 * 86_400;

/** When a receiver whose last tries failed is tried again [Unix s]. */
const triedAgainS = ({ tries, lastS }: Line): number =>
  lastS + Math.min(FIRST_WAIT_S * 2 ** (tries - 1), LONGEST_WAIT_S);

/** Why an alarm should be told now; null where it was, or should not be. */
export function toTell(alarm: Alarm): NoticeKind | null {
  if (alarm.shelved !== null || alarm.suppressed !== null) return null;
  const { told, urgency } = alarm;
  if (stands(alarm)) {
    if (told === null) return 'raised';
    return weightOf(urgency) > weightOf(told) ? 'worse' : null;
  }
  const over = alarm.state === 'returned-unacknowledged' || alarm.state === 'normal';
  return over && isUrgent(told) ? 'over' : null;
}

/** What was told as urgent is told to be over; what can wait some days shows on the page. */
const isUrgent = (told: Urgency | null): boolean =>
  told !== null && weightOf(told) >= weightOf('today');

/** Whom a notice of this urgency about this well is for. */
export const receiversFor = (
  receivers: readonly AnyReceiver[],
  wellId: string,
  urgency: Urgency,
): string[] =>
  receivers
    .filter(({ from, wells }) => {
      const ofWell = wells === null || wells.includes(wellId);
      return ofWell && weightOf(urgency) >= weightOf(from);
    })
    .map(({ name }) => name);

export interface Due {
  receiver: string;
  /** What to send; null where only entries come of it. */
  posted: Posted | null;
  /** What is not sent any more. */
  entries: AlarmEntry[];
}

/** What is meant for receivers that are there no more: nobody waits for it. */
export const withdrawnFrom = (book: AlarmBook, names: readonly string[]): AlarmEntry[] =>
  [...book.posted.values()].flatMap(({ notice, open }) =>
    [...open]
      .filter((receiver) => !names.includes(receiver))
      .map((receiver) => ({
        ...{ what: 'delivery' as const, notice: notice.id, receiver, tries: 0 },
        ...{ outcome: 'withdrawn' as const, says: 'there is no such receiver any more' },
      })),
  );

/** What each receiver should be sent now: the most urgent first, one at a time. */
export function due(
  book: AlarmBook,
  receivers: readonly AnyReceiver[],
  at: { nowS: number; zone: string },
): Due[] {
  return receivers.flatMap((receiver) => {
    const { name } = receiver;
    const open = [...book.posted.values()].filter((one) => one.open.has(name));
    if (open.length === 0) return [];
    const entries = open.flatMap((one) => {
      const later = open.some((other) => isLater(other, one));
      return droppedEntry(book, one, { receiver: name, nowS: at.nowS, later }) ?? [];
    });
    const left = entries.map((entry) => ('notice' in entry ? entry.notice : null));
    const quiet = isQuiet(receiver.quiet, at.zone, at.nowS);
    const line = book.lines.get(name);
    const sendable = open.filter(
      (one) =>
        !left.includes(one.notice.id) &&
        (!quiet || cannotWait(one)) &&
        (line === undefined || at.nowS >= triedAgainS(line) || isNewsSince(one, line)),
    );
    sendable.sort(
      (a, b) => weightOf(b.notice.urgency) - weightOf(a.notice.urgency) || a.atS - b.atS,
    );
    const [posted = null] = sendable;
    return posted === null && entries.length === 0 ? [] : [{ receiver: name, posted, entries }];
  });
}

const cannotWait = ({ notice }: Posted): boolean => notice.urgency === 'now' && !isOver(notice);
const isOver = ({ kind }: Posted['notice']): boolean => kind === 'over';

/** What cannot wait is tried at once, however long the receiver has been away. */
const isNewsSince = (posted: Posted, line: Line): boolean =>
  cannotWait(posted) && posted.atS > line.lastS;

/** Whether one tells anew of the alarm that the other tells of. */
const isLater = (other: Posted, one: Posted): boolean =>
  one.notice.alarm !== null && other.notice.alarm === one.notice.alarm && other.atS > one.atS;

/** What is too old, what a later notice says anew, what is over before quiet hours let it go. */
function droppedEntry(
  book: AlarmBook,
  { notice, atS }: Posted,
  { receiver, nowS, later }: { receiver: string; nowS: number; later: boolean },
): AlarmEntry | null {
  const said = { what: 'delivery', notice: notice.id, receiver, tries: 0 } as const;
  if (nowS - atS > GIVEN_UP_S)
    return { ...said, outcome: 'given-up', says: 'not delivered within three days' };
  if (later) return { ...said, outcome: 'withdrawn', says: 'a later notice says it anew' };
  // What a receiver that fails was sent may have come through all the same.
  if (notice.alarm === null || book.lines.has(receiver)) return null;
  if (notice.kind === 'over') {
    if (book.heardOf.get(receiver)?.has(notice.alarm)) return null;
  } else {
    const alarm = book.alarms.get(notice.alarm);
    if (alarm !== undefined && (stands(alarm) || alarm.hiddenBy !== null)) return null;
  }
  return { ...said, outcome: 'withdrawn', says: 'over before it could be told' };
}
