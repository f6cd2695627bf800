import { instant } from '../base/instant.ts';
import type { Alarm, AlarmChange, AlarmEntry } from '../model/alarm.ts';
import { FAULTS, type FaultName } from '../model/faults.ts';
import { type FindingEntry, type Urgency, weightOf } from '../model/study.ts';
import { concernOf } from './concern.ts';
import { type AlarmBook, stands } from './journal.ts';
import { explains, hides, rootOf } from './roots.ts';
import { ruleOf, SAME_ALARM_S, SILENCE, SILENCE_URGENCY } from './rules.ts';

/** How a well stands, as far as alarms need it. */
export interface Standing {
  /** null while that is not known: alarms of findings stay as they are. */
  findings: readonly FindingEntry[] | null;
  /** Share of the last hour or so in which the pump ran. */
  duty: number;
  /** Devices of which no readings come, and since when [Unix s]. */
  silent: readonly { device: string; sinceS: number }[];
  /** No device speaks: the findings are of before. */
  isBlind: boolean;
}

/** What may be told of, from a finding or from a silence. */
interface Cause {
  fault: FaultName;
  device: string | null;
  finding: FindingEntry | null;
  urgency: Urgency;
  probability: number | null;
  since: string;
}

/** Belief that has moved by less is not worth a line of the record. */
const MOVED = 0.15;

/**
 * What changes of the alarms now that the well stands so: pure, and of the book alone. The entries
 * say it; the caller enters them.
 */
export function step(book: AlarmBook, standing: Standing, nowS: number): AlarmEntry[] {
  const causes = causesOf(standing, nowS);
  const made: AlarmEntry[] = [];
  const note = (what: AlarmChange, alarm: Alarm): Alarm => {
    made.push({ what, alarm });
    return alarm;
  };
  const isKnown = (alarm: Alarm): boolean => standing.findings !== null || alarm.device !== null;
  const all = matched(book, causes, nowS);
  const pairs = all.filter(([alarm]) => isKnown(alarm));
  let number = book.alarmsMade;
  for (const cause of causes) {
    const rule = ruleOf(cause.urgency);
    if (rule === null || !(believed(cause) >= rule.onAt)) continue;
    if (pairs.some(([, other]) => other === cause)) continue;
    number += 1;
    pairs.push([note('seen', fresh(`alarm-${number}`, cause, nowS)), cause]);
  }
  // One that waits hides and explains already, and one that fades still does: what follows from
  // it must not be told before it, nor while it may come back.
  const live = [...all.filter(([alarm]) => !isKnown(alarm)), ...pairs].map(([alarm]) => alarm);
  const roots = live
    .filter((alarm) => alarm.state === 'waiting' || stands(alarm))
    .map((alarm) => ({ alarm, as: rootOf(alarm.fault, evidenceOf(alarm, standing)) }));
  for (const [alarm, cause] of pairs) {
    const way = { nowS, note, roots, standing };
    const moved = cause === null ? gone(alarm, way) : there(alarm, cause, way);
    unshelvedInTime(suppressedOrNot(moved, book, way), way);
  }
  return made;
}

const evidenceOf = ({ finding }: Alarm, { findings }: Standing) =>
  findings?.find(({ id }) => id === finding)?.evidence ?? [];

interface Way {
  nowS: number;
  note: (what: AlarmChange, alarm: Alarm) => Alarm;
  roots: readonly { alarm: Alarm; as: FaultName }[];
  standing: Standing;
}

const believed = ({ probability }: { probability: number | null }): number => probability ?? 1;

function causesOf({ findings, duty, silent }: Standing, nowS: number): Cause[] {
  return [
    ...(findings ?? []).map((finding) => {
      const fault = finding.fault as FaultName;
      return {
        fault,
        device: null,
        finding,
        since: finding.since,
        ...concernOf(finding, { nowS, duty }),
      };
    }),
    ...silent.map(({ device, sinceS }) => ({
      fault: SILENCE,
      device,
      finding: null,
      urgency: SILENCE_URGENCY,
      probability: null,
      since: instant(sinceS),
    })),
  ];
}

/** Alarms not over, those back within a day or while shelved, each with what it tells of now. */
function matched(book: AlarmBook, causes: readonly Cause[], nowS: number): [Alarm, Cause | null][] {
  const all = [...book.alarms.values()].reverse();
  const live = all.filter(({ state }) => state !== 'normal');
  const lately = all.filter(
    ({ state, returnedS, shelved }) =>
      state === 'normal' &&
      (nowS - (returnedS ?? -Infinity) < SAME_ALARM_S || nowS < (shelved?.untilS ?? -Infinity)),
  );
  const taken = new Map<Alarm, Cause>();
  const free = new Set(causes);
  const take = (alarms: readonly Alarm[], fits: (alarm: Alarm, cause: Cause) => boolean) => {
    for (const alarm of alarms) {
      if (taken.has(alarm)) continue;
      const cause = [...free].find((one) => fits(alarm, one));
      if (cause === undefined) continue;
      taken.set(alarm, cause);
      free.delete(cause);
    }
  };
  take(live, isSame);
  take(live, isRenamed);
  take(lately, (alarm, cause) => isSame(alarm, cause) && isAlarming(cause));
  return [
    ...taken,
    ...live.filter((alarm) => !taken.has(alarm)).map((a) => [a, null] as const),
  ].map(([alarm, cause]) => [alarm, cause]);
}

const isAlarming = (cause: Cause): boolean => {
  const rule = ruleOf(cause.urgency);
  return rule !== null && believed(cause) >= rule.onAt;
};

const isSame = (alarm: Alarm, cause: Cause): boolean =>
  alarm.fault === cause.fault && alarm.device === cause.device;

/** One trouble under another name: a finding takes another fault, or one replaces another. */
function isRenamed({ fault, device }: Alarm, cause: Cause): boolean {
  if (device !== null || cause.finding === null || !isAlarming(cause)) return false;
  const { history, instead } = cause.finding;
  return (
    history.some((one) => one.fault === fault) ||
    instead.some((one) => one.fault === fault) ||
    FAULTS[cause.fault].lookAlikes.includes(fault)
  );
}

function fresh(id: string, cause: Cause, nowS: number): Alarm {
  const { fault, device, finding, urgency, probability, since } = cause;
  return {
    ...{ id, fault, device, urgency, probability, since },
    finding: finding?.id ?? null,
    state: 'waiting',
    seenS: nowS,
    raisedS: null,
    goneS: null,
    returnedS: null,
    acknowledged: null,
    shelved: null,
    suppressed: null,
    hiddenBy: null,
    times: 1,
    told: null,
  };
}

/** What it tells of is there. */
function there(before: Alarm, found: Cause, way: Way): Alarm {
  const cause = asFeared(before, found);
  const { nowS, note } = way;
  let alarm = before;
  const rule = ruleOf(cause.urgency);
  if (rule === null || believed(cause) < rule.offBelow) return gone(alarm, way);
  if (isOtherwise(alarm, cause)) alarm = note('changed', renewed(alarm, cause));
  if (alarm.hiddenBy !== null) alarm = note('in-sight', { ...alarm, hiddenBy: null });
  if (alarm.goneS !== null && alarm.state !== 'normal')
    alarm = note('in-sight', { ...alarm, goneS: null });
  if (alarm.state === 'waiting') {
    if (nowS - alarm.seenS < rule.onDelayS) return alarm;
    return note('raised', { ...alarm, state: 'unacknowledged', raisedS: nowS });
  }
  if (stands(alarm)) return alarm;
  const lately = nowS - (alarm.returnedS ?? -Infinity) < SAME_ALARM_S;
  return note('back', {
    ...alarm,
    told: lately ? alarm.told : null,
    ...{ state: 'unacknowledged', raisedS: nowS, goneS: null, returnedS: null },
    acknowledged: null,
    times: alarm.times + 1,
  });
}

/** What was feared to be urgent is not less so because the pump rests for a moment. */
function asFeared({ fault, urgency }: Alarm, cause: Cause): Cause {
  const isNote = cause.finding?.urgency === 'note' && fault === cause.fault;
  return isNote && weightOf(urgency) > weightOf(cause.urgency) ? { ...cause, urgency } : cause;
}

function isOtherwise(alarm: Alarm, cause: Cause): boolean {
  const moved = Math.abs(believed(alarm) - believed(cause)) >= MOVED;
  const finding = cause.finding?.id ?? null;
  return moved || alarm.fault !== cause.fault || alarm.urgency !== cause.urgency
    ? true
    : alarm.finding !== finding;
}

/** What was acknowledged as less is not acknowledged as this. */
function renewed(alarm: Alarm, { fault, urgency, probability, finding, since }: Cause): Alarm {
  const worse = weightOf(urgency) > weightOf(alarm.urgency);
  const again = worse && alarm.state === 'acknowledged';
  return {
    ...alarm,
    ...{ fault, urgency, probability, since, finding: finding?.id ?? null },
    ...(again ? { state: 'unacknowledged' as const, acknowledged: null } : {}),
  };
}

/** What it tells of is not there: gone, out of sight, or only not seen for a moment. */
function gone(alarm: Alarm, { nowS, note, roots, standing }: Way): Alarm {
  if (alarm.state === 'normal' || alarm.state === 'returned-unacknowledged') return alarm;
  if (alarm.state === 'waiting') return note('passed', { ...alarm, state: 'normal' });
  const root = roots.find(({ alarm: { device }, as }) => device === null && hides(as, alarm.fault));
  const hiddenBy =
    root?.alarm.fault ?? (standing.isBlind && alarm.device === null ? SILENCE : null);
  if (hiddenBy !== null) {
    if (alarm.hiddenBy === hiddenBy && alarm.goneS === null) return alarm;
    return note('hidden', { ...alarm, hiddenBy, goneS: null });
  }
  // What hid it is over, and so its delay off begins.
  const seen = alarm.hiddenBy === null ? alarm : note('in-sight', { ...alarm, hiddenBy: null });
  if (seen.goneS === null) return note('going', { ...seen, goneS: nowS });
  if (nowS - seen.goneS < ruleOf(seen.urgency)!.offDelayS) return seen;
  const state = seen.state === 'acknowledged' ? 'normal' : 'returned-unacknowledged';
  return note('returned', { ...seen, state, goneS: null, returnedS: nowS });
}

/** A root or a declared service suppresses; nothing of less urgency hides what cannot wait. */
function suppressedOrNot(alarm: Alarm, book: AlarmBook, { note, roots }: Way): Alarm {
  if (alarm.state === 'normal' || alarm.told !== null) return released(alarm, note);
  const root = roots.find(
    ({ alarm: { id, urgency }, as }) =>
      id !== alarm.id &&
      explains(as, alarm.fault) &&
      (hides(as, alarm.fault) || weightOf(urgency) >= weightOf(alarm.urgency)),
  );
  const by =
    book.service !== null
      ? { by: 'service' as const, root: book.service.did }
      : root === undefined
        ? null
        : { by: 'root' as const, root: root.alarm.fault };
  if (by === null) return released(alarm, note);
  const { suppressed } = alarm;
  if (suppressed?.by === by.by && suppressed.root === by.root) return alarm;
  return note('suppressed', { ...alarm, suppressed: by });
}

function released(alarm: Alarm, note: Way['note']): Alarm {
  return alarm.suppressed === null ? alarm : note('released', { ...alarm, suppressed: null });
}

function unshelvedInTime(alarm: Alarm, { nowS, note }: Way): void {
  if (alarm.shelved !== null && nowS >= alarm.shelved.untilS)
    note('unshelved', { ...alarm, shelved: null });
}
