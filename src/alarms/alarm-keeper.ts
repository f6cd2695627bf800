import { instant } from '../base/instant.ts';
import type { Alarm, AlarmEntry, DeclaredService, Notice, NoticeKind } from '../model/alarm.ts';
import type { AnyReceiver } from '../model/alarm-settings.ts';
import type { FindingEntry, Urgency } from '../model/study.ts';
import type { Well } from '../model/well.ts';
import type { WellNow } from '../model/well-now.ts';
import type { Clock } from '../ports/clock.ts';
import { type Notifier, NotTold } from '../ports/notifier.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import { alarmWords, type NoticeWords, outageWords, testWords } from '../report/notice-text.ts';
import { DeviceWatch } from './devices.ts';
import { type AlarmBook, emptyBook, enter } from './journal.ts';
import {
  type Alive,
  dutyAfter,
  glanceOf,
  outageInLeap,
  outageSince,
  type PendingOutage,
  PULSE_EVERY_S,
  type Pulse,
  settledOutage,
} from './outage.ts';
import { type Due, due, receiversFor, toTell, withdrawnFrom } from './post.ts';
import { LONGEST_SERVICE_S, longestShelfS, SERVICE_S } from './rules.ts';
import { step } from './step.ts';

export interface Receiver {
  settings: AnyReceiver;
  notifier: Notifier;
}

export interface AlarmPorts {
  store: ReadingStore;
  clock: Clock;
  /** Those of now: browsers come and go. */
  receivers: () => readonly Receiver[];
  /** Each entry of the record as it is made, for the page and the log. */
  tell: (entry: AlarmEntry) => void;
  /** What went wrong without stopping anything. */
  trouble: (error: unknown) => void;
}

/** Why a keeper's wish about an alarm cannot be met. */
export class AlarmRefusal extends Error {
  readonly code: 'unknown-alarm' | 'not-possible';
  constructor(code: AlarmRefusal['code'], says: string) {
    super(says);
    this.code = code;
  }
}

/** By then a machine without a clock of its own has learnt the time (common practice), s. */
const CLOCK_SET_S = 600;
const ALWAYS_S = 8.64e12;
/** Between two tests of a receiver, s. */
const TESTS_APART_S = 60;
/** Entries are kept apart by this, so that one put later drops none put before. */
const APART_MS = 1;
/** Entries that the store has not taken yet; of more the first are given up. */
const MOST_UNSAVED = 10_000;

/** The alarms of one well: what stands, the record of it, and who is told. */
export class AlarmKeeper {
  readonly #well: () => Well;
  readonly #wellId: string;
  readonly #ports: AlarmPorts;
  readonly #book: AlarmBook = emptyBook();
  readonly #underWay = new Map<string, Promise<void>>();
  #devices: DeviceWatch;
  #pending: PendingOutage | null;
  #alive: Alive;
  readonly #startS: number;
  #unsaved: { id: string; atS: number; body: AlarmEntry }[] = [];
  #saving: Promise<void> = Promise.resolve();
  #pulseS = -Infinity;
  /** By receiver. */
  readonly #testedS = new Map<string, number>();
  #lastNow: WellNow | null = null;
  #refused = false;
  #pulseFails = false;

  private constructor(well: () => Well, ports: AlarmPorts, pulse: Pulse | null) {
    this.#well = well;
    this.#wellId = well().id;
    this.#ports = ports;
    const nowS = ports.clock.nowS();
    this.#devices = new DeviceWatch(pulse?.devices ?? [], nowS);
    this.#pending = outageSince(pulse, nowS);
    const { stopped, glance, duty } = pulse ?? { stopped: true, glance: null, duty: 0 };
    const atS = this.#pending === null ? Math.max(pulse?.atS ?? -Infinity, -1e11) : nowS;
    this.#alive = { atS, glance, stopped, duty };
    this.#startS = nowS;
  }

  /** The alarms as their record leaves them. */
  static async open(well: () => Well, ports: AlarmPorts): Promise<AlarmKeeper> {
    const { store } = ports;
    const { id } = well();
    const [last] = await store.records(id, 'pulse', -ALWAYS_S, ALWAYS_S);
    const keeper = new AlarmKeeper(well, ports, (last?.body as Pulse | undefined) ?? null);
    for (const { atS, body } of await store.records(id, 'alarm', -ALWAYS_S, ALWAYS_S))
      enter(keeper.#book, body as AlarmEntry, atS);
    return keeper;
  }

  /** A pack came from a device; readings of long ago do not tell that it lives. */
  heard(device: string, newestS: number): void {
    const nowS = this.#ports.clock.nowS();
    if (nowS - newestS < LATEST_S) this.#devices.note(device, nowS);
  }

  get alarms(): Alarm[] {
    return [...this.#book.alarms.values()].reverse();
  }

  get service(): DeclaredService | null {
    return this.#book.service;
  }

  /**
   * Goes on with how the well stands, and has told what is to be told. `isCurrent`: what was kept
   * before has been analysed.
   */
  async advance(now: WellNow, isCurrent = true): Promise<void> {
    const nowS = this.#ports.clock.nowS();
    this.#lastNow = now;
    this.#noteAlive(now, nowS);
    this.#endService(nowS);
    const silent = this.#devices.silent(nowS);
    const isBlind = this.#devices.isBlind(nowS);
    // What is being read again is of before: nothing is raised or over by it.
    const isPresent = isCurrent && now.replay === null && now.at !== null;
    const standing = {
      findings: isPresent ? now.findings : null,
      duty: this.#alive.duty,
      silent,
      isBlind,
    };
    for (const entry of step(this.#book, standing, nowS)) this.#enter(entry);
    this.#post(now.findings);
    await this.#settleOutage(now, nowS);
    this.#send(nowS);
    if (nowS - this.#pulseS >= PULSE_EVERY_S) await this.#pulse(now, nowS, false);
    await this.#save();
  }

  acknowledge(id: string, by: string): Alarm {
    const alarm = this.#alarm(id);
    const { state } = alarm;
    if (state !== 'unacknowledged' && state !== 'returned-unacknowledged')
      throw new AlarmRefusal('not-possible', `expected an unacknowledged alarm, found ${state}`);
    const atS = this.#ports.clock.nowS();
    const over = state === 'returned-unacknowledged';
    return this.#changed('acknowledged', by, {
      ...alarm,
      state: over ? 'normal' : 'acknowledged',
      acknowledged: { atS, by },
    });
  }

  /** Not told for so long; it says itself when that ends. */
  shelve(id: string, by: string, forS: number): Alarm {
    const alarm = this.#alarm(id);
    const most = longestShelfS(alarm.urgency);
    if (alarm.state === 'normal')
      throw new AlarmRefusal('not-possible', 'expected an alarm that stands, found one over');
    if (!(forS > 0 && forS <= most))
      throw new AlarmRefusal(
        'not-possible',
        `expected above 0 and at most ${most / 3600} hours for an alarm of urgency ` +
          `${alarm.urgency}, found ${forS / 3600} hours`,
      );
    const untilS = this.#ports.clock.nowS() + forS;
    return this.#changed('shelved', by, { ...alarm, shelved: { untilS, by } });
  }

  unshelve(id: string, by: string): Alarm {
    const alarm = this.#alarm(id);
    if (alarm.shelved === null)
      throw new AlarmRefusal('not-possible', 'expected a shelved alarm, found one that is not');
    return this.#changed('unshelved', by, { ...alarm, shelved: null });
  }

  /** Work on the well: nothing new is told until it ends, by itself at the latest. */
  declareService(did: string, by: string, forS = SERVICE_S): DeclaredService {
    if (!(forS > 0 && forS <= LONGEST_SERVICE_S))
      throw new AlarmRefusal(
        'not-possible',
        `expected above 0 and at most ${LONGEST_SERVICE_S / 3600} hours, found ${forS / 3600}`,
      );
    const fromS = this.#ports.clock.nowS();
    const service = { did, by, fromS, untilS: fromS + forS };
    this.#enter({ what: 'service-declared', service });
    return service;
  }

  endService(by: string): void {
    const { service } = this.#book;
    if (service === null)
      throw new AlarmRefusal('not-possible', 'expected a declared service, found none');
    this.#enter({ what: 'service-ended', service, by });
  }

  /** Who is told of this well. */
  get receivers(): AnyReceiver[] {
    return this.#ofWell().map(({ settings }) => settings);
  }

  /** Sends a test to one receiver, or to each; what became of it. */
  async test(by: string, only?: string): Promise<{ receiver: string; says: string | null }[]> {
    const chosen = this.#ofWell().filter(({ settings: { name } }) => (only ?? name) === name);
    if (only !== undefined && chosen.length === 0)
      throw new AlarmRefusal('not-possible', `expected a receiver, found ${only}`);
    this.#notTestedLately(chosen.map(({ settings }) => settings.name));
    return Promise.all(
      chosen.map(async ({ settings: { name }, notifier }) => {
        const notice = this.#notice('test', 'note', null, testWords(name, by));
        this.#enter({ what: 'notice', notice, to: [] });
        const says = await this.#tell(notifier, notice);
        return { receiver: name, says: says === null ? null : says.message };
      }),
    );
  }

  /** Resolves once what is under way is told or not, and all of it is written down. */
  async close(): Promise<void> {
    await this.settled();
    const nowS = this.#ports.clock.nowS();
    if (this.#lastNow !== null) await this.#pulse(this.#lastNow, nowS, true);
    await this.#save();
  }

  /** Resolves once nothing is on its way to a receiver. */
  async settled(): Promise<void> {
    await Promise.all(this.#underWay.values());
  }

  /** Resolves once all that was entered is in the store, or the store has refused it. */
  written(): Promise<void> {
    return this.#save();
  }

  #ofWell(): Receiver[] {
    const all = this.#ports.receivers();
    return all.filter(({ settings: { wells } }) => wells?.includes(this.#wellId) ?? true);
  }

  /** Whoever presses twice floods nobody. */
  #notTestedLately(names: readonly string[]): void {
    const nowS = this.#ports.clock.nowS();
    for (const name of names) {
      const apartS = Math.abs(nowS - (this.#testedS.get(name) ?? -Infinity));
      if (apartS < TESTS_APART_S)
        throw new AlarmRefusal(
          'not-possible',
          `expected ${TESTS_APART_S} s between two tests of ${name}, ` +
            `found ${Math.round(apartS)} s`,
        );
    }
    for (const name of names) this.#testedS.set(name, nowS);
  }

  #alarm(id: string): Alarm {
    const alarm = this.#book.alarms.get(id);
    if (alarm !== undefined) return alarm;
    throw new AlarmRefusal('unknown-alarm', `expected the id of an alarm, found "${id}"`);
  }

  #changed(what: Extract<AlarmEntry, { alarm: Alarm }>['what'], by: string, alarm: Alarm): Alarm {
    this.#enter({ what, alarm, by });
    return alarm;
  }

  #noteAlive(now: WellNow, nowS: number): void {
    this.#pending ??= outageInLeap(this.#alive, nowS);
    const { atS, stopped, duty } = this.#alive;
    // A clock that is not set yet is behind; the stop that was asked for ends with its leap.
    if (nowS > atS)
      this.#alive = {
        atS: nowS,
        glance: glanceOf(now) ?? this.#alive.glance,
        duty: dutyAfter(duty, now.pump.on, nowS - atS),
        stopped: stopped && nowS - atS < PULSE_EVERY_S && nowS - this.#startS < CLOCK_SET_S,
      };
  }

  #endService(nowS: number): void {
    const { service } = this.#book;
    if (service !== null && nowS >= service.untilS)
      this.#enter({ what: 'service-ended', service, by: null });
  }

  /** Notices of all that is to be told. */
  #post(findings: readonly FindingEntry[]): void {
    for (const alarm of [...this.#book.alarms.values()]) {
      const kind = toTell(alarm);
      if (kind === null) continue;
      const finding = findings.find(({ id }) => id === alarm.finding) ?? null;
      const urgency = kind === 'over' ? alarm.told! : alarm.urgency;
      this.#postNotice(
        this.#notice(
          kind,
          urgency,
          alarm,
          alarmWords(kind, alarm, { well: this.#well(), finding }),
        ),
      );
      this.#enter({ what: 'told', alarm: { ...alarm, told: kind === 'over' ? null : urgency } });
    }
  }

  #postNotice(notice: Notice): void {
    const settings = this.#ports.receivers().map((one) => one.settings);
    this.#enter({
      what: 'notice',
      notice,
      to: receiversFor(settings, this.#wellId, notice.urgency),
    });
  }

  #notice(kind: NoticeKind, urgency: Urgency, alarm: Alarm | null, words: NoticeWords): Notice {
    const { id, name } = this.#well();
    return {
      id: `${id}-notice-${this.#book.noticesMade + 1}`,
      kind,
      well: id,
      wellName: name,
      urgency,
      at: instant(this.#ports.clock.nowS()),
      alarm: alarm?.id ?? null,
      fault: alarm?.fault ?? null,
      ...words,
    };
  }

  /** One notice at a time to each receiver; none waits for another. */
  #send(nowS: number): void {
    const receivers = this.#ports.receivers();
    const names = receivers.map(({ settings }) => settings.name);
    for (const entry of withdrawnFrom(this.#book, names)) this.#enter(entry);
    const idle = receivers.filter(({ settings }) => !this.#underWay.has(settings.name));
    const settings = idle.map((one) => one.settings);
    for (const one of due(this.#book, settings, { nowS, zone: this.#well().timeZone })) {
      for (const entry of one.entries) this.#enter(entry);
      if (one.posted === null) continue;
      const { notifier } = idle.find((to) => to.settings.name === one.receiver)!;
      const sent = this.#deliver(one, notifier).finally(() => {
        this.#underWay.delete(one.receiver);
      });
      this.#underWay.set(one.receiver, sent);
    }
  }

  async #deliver({ receiver, posted }: Due, notifier: Notifier): Promise<void> {
    const { notice } = posted!;
    const tries = (this.#book.lines.get(receiver)?.tries ?? 0) + 1;
    const failure = await this.#tell(notifier, notice);
    const outcome =
      failure === null ? 'delivered' : failure.again ? ('failed' as const) : 'given-up';
    const says = failure?.message ?? null;
    this.#enter({ what: 'delivery', notice: notice.id, receiver, outcome, tries, says });
    await this.#save();
    if (failure === null) await this.#deliverNext(receiver, notifier);
  }

  /** The next one need not wait for the next turn. */
  async #deliverNext(receiver: string, notifier: Notifier): Promise<void> {
    const settings = this.#ports.receivers().map((one) => one.settings);
    const own = settings.filter(({ name }) => name === receiver);
    const at = { nowS: this.#ports.clock.nowS(), zone: this.#well().timeZone };
    const [next] = due(this.#book, own, at);
    if (next === undefined) return;
    for (const entry of next.entries) this.#enter(entry);
    if (next.posted !== null) await this.#deliver(next, notifier);
  }

  async #tell(notifier: Notifier, notice: Notice): Promise<NotTold | null> {
    try {
      await notifier.tell(notice);
      return null;
    } catch (error) {
      if (error instanceof NotTold) return error;
      this.#ports.trouble(error);
      return new NotTold(error instanceof Error ? error.message : String(error), true);
    }
  }

  async #settleOutage(now: WellNow, nowS: number): Promise<void> {
    if (this.#pending === null) return;
    const { store } = this.#ports;
    const seen = { wellId: this.#wellId, now, nowS };
    const outage = await settledOutage(this.#pending, store, seen).catch((error: unknown) => {
      this.#ports.trouble(error);
      return null;
    });
    if (outage === null) return;
    this.#pending = null;
    this.#enter({ what: 'outage', outage });
    const urgency = outage.cause === 'power' ? 'today' : 'note';
    this.#postNotice(this.#notice('outage', urgency, null, outageWords(outage, this.#well())));
    await this.#pulse(now, nowS, false);
  }

  async #pulse(now: WellNow, nowS: number, stopped: boolean): Promise<void> {
    this.#pulseS = nowS;
    const body: Pulse = {
      // Behind it the clock is not set yet.
      atS: Math.max(nowS, this.#alive.atS),
      stopped,
      devices: this.#devices.states,
      glance: glanceOf(now) ?? this.#alive.glance,
      duty: this.#alive.duty,
      outage: this.#pending,
    };
    await this.#ports.store
      .putRecords(this.#wellId, 'pulse', -ALWAYS_S, [{ id: 'pulse', atS: nowS, body }])
      .then(() => {
        this.#pulseFails = false;
      })
      .catch((error: unknown) => {
        if (!this.#pulseFails) this.#ports.trouble(error);
        this.#pulseFails = true;
      });
  }

  /** Into the book at once, to the store later: what stands is told with a full disk, too. */
  #enter(entry: AlarmEntry): void {
    const ms = Math.round(this.#ports.clock.nowS() * 1000);
    const atS = Math.max(ms, Math.round(this.#book.lastS * 1000) + APART_MS) / 1000;
    enter(this.#book, entry, atS);
    const id = `entry-${String(this.#book.entries).padStart(9, '0')}`;
    this.#unsaved.push({ id, atS, body: entry });
    if (this.#unsaved.length > MOST_UNSAVED) this.#unsaved.shift();
    this.#ports.tell(entry);
  }

  #save(): Promise<void> {
    this.#saving = this.#saving.then(async () => {
      const batch = this.#unsaved;
      if (batch.length === 0) return;
      this.#unsaved = [];
      try {
        // Later than every one before: nothing of the record is dropped.
        await this.#ports.store.putRecords(this.#wellId, 'alarm', batch[0]!.atS, batch);
        this.#refused = false;
      } catch (error) {
        this.#unsaved = [...batch, ...this.#unsaved];
        if (!this.#refused) this.#ports.trouble(error);
        this.#refused = true;
      }
    });
    return this.#saving;
  }
}

/** Readings older than this when they come are of the past, s. */
const LATEST_S = 3600;
