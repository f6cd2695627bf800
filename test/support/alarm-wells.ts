import { AlarmKeeper, type Receiver } from '../../src/alarms/alarm-keeper.ts';
import { ADVICE } from '../../src/model/advice.ts';
import type { AlarmEntry } from '../../src/model/alarm.ts';
import type { ReceiverSettings } from '../../src/model/alarm-settings.ts';
import type { FaultName } from '../../src/model/faults.ts';
import type { FindingEntry } from '../../src/model/study.ts';
import type { WellNow } from '../../src/model/well-now.ts';
import { MemoryNotifier } from '../../src/notify/memory.ts';
import type { ReadingStore } from '../../src/ports/reading-store.ts';
import { MemoryStore } from '../../src/store/memory/store.ts';
import { wellOf } from './rehearsed-log.ts';

/** 2026-06-01T12:00:00Z. */
export const NOON_S = 1_780_315_200;

const WELL = wellOf('name = "Ridge house"\nid = "ridge-house"\ntime_zone = "UTC"\n');

const at = (timeS: number): string => new Date(timeS * 1000).toISOString();

export function findingOf(fault: FaultName, more: Partial<FindingEntry> = {}): FindingEntry {
  const { urgency, action, nextTest } = ADVICE[fault];
  return {
    id: `finding-${fault}`,
    fault,
    probability: 0.9,
    since: at(NOON_S),
    raised: at(NOON_S),
    cleared: null,
    replacedBy: null,
    urgency,
    evidence: [{ says: 'it was seen', observed: 1, expected: null, expectedStd: null, unit: '1' }],
    instead: [],
    alike: null,
    history: [],
    nextTest,
    action,
    cautions: [],
    ...more,
  };
}

function nowOf(timeS: number, findings: FindingEntry[], more: Partial<WellNow> = {}): WellNow {
  return {
    schema: 1,
    well: WELL.id,
    at: at(timeS),
    lastReading: at(timeS),
    silence: null,
    replay: null,
    pressurePaGauge: 350_000,
    currentA: 0,
    pump: { on: false, since: null },
    flowM3PerS: 0,
    flowM3PerSStd: 0,
    day: null,
    findings,
    clocks: [],
    test: null,
    unknown: [],
    ...more,
  };
}

export const receiverOf = (name: string, more: Partial<ReceiverSettings> = {}): ReceiverSettings =>
  ({
    ...{ name, from: 'weeks', quiet: null, wells: null },
    ...{ way: 'mqtt', address: 'mqtt://127.0.0.1', user: null, passwordFile: null },
    ...more,
  }) as ReceiverSettings;

/** A keeper of alarms by a clock that is set by hand, its receivers in memory. */
export async function keptAlarms(
  asked: { receivers?: ReceiverSettings[]; store?: ReadingStore; startS?: number } = {},
) {
  const store = asked.store ?? new MemoryStore();
  const settings = asked.receivers ?? [receiverOf('phone')];
  const phones = new Map(settings.map(({ name }) => [name, new MemoryNotifier()]));
  const receivers: Receiver[] = settings.map((one) => ({
    settings: one,
    notifier: phones.get(one.name)!,
  }));
  const entries: AlarmEntry[] = [];
  const troubles: unknown[] = [];
  let nowS = asked.startS ?? NOON_S;
  const ports = {
    ...{ store, receivers: () => receivers },
    clock: { nowS: () => nowS },
    tell: (entry: AlarmEntry) => entries.push(entry),
    trouble: (error: unknown) => troubles.push(error),
  };
  let keeper = await AlarmKeeper.open(() => WELL, ports);
  return {
    ...{ store, entries, troubles, phones },
    get keeper() {
      return keeper;
    },
    get nowS() {
      return nowS;
    },
    phone: (name = 'phone') => phones.get(name)!,
    told: (name = 'phone') => phones.get(name)!.told.map(({ kind, fault }) => `${kind} ${fault}`),
    whats: () => entries.map(({ what }) => what),
    /** Time goes by, in steps of at most a minute, with the well standing so. */
    async pass(lengthS: number, findings: FindingEntry[] = [], more: Partial<WellNow> = {}) {
      for (const endS = nowS + lengthS; nowS < endS; ) {
        nowS = Math.min(nowS + 60, endS);
        await keeper.advance(nowOf(nowS, findings, more));
        await keeper.settled();
      }
    },
    async step(findings: FindingEntry[] = [], more: Partial<WellNow> = {}) {
      await keeper.advance(nowOf(nowS, findings, more));
      await keeper.settled();
    },
    heard(device = 'tee') {
      keeper.heard(device, nowS);
    },
    /** The clock is set to another time. */
    leap(lengthS: number) {
      nowS += lengthS;
    },
    /** Stopped on purpose, or not; started again after a while. */
    async restart(how: { killed: boolean; awayS?: number }) {
      if (!how.killed) await keeper.close();
      nowS += how.awayS ?? 1;
      keeper = await AlarmKeeper.open(() => WELL, ports);
    },
  };
}
