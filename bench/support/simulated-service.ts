import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setImmediate as turn } from 'node:timers/promises';
import { type AlarmOptions, Alarms } from '../../src/cli/watch/alarms.ts';
import type { LivingEvent } from '../../src/living/events.ts';
import { LivingWells } from '../../src/living/living-wells.ts';
import { CHANNELS, type ReadingBatch } from '../../src/model/reading.ts';
import type { Well } from '../../src/model/well.ts';
import type { Row } from '../../src/simulation/sensing/row.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';

const CHANNEL = { pressure: CHANNELS.indexOf('pressure'), current: CHANNELS.indexOf('current') };

/** Readings in one pack. */
const PACK = 2000;

interface ReadingLog {
  timeS: number[];
  channel: number[];
  value: number[];
}

export interface SimulatedOptions {
  well: Well;
  alarms: AlarmOptions;
  startS: number;
  tell?: (event: LivingEvent) => void;
  say?: (says: string) => void;
}

/**
 * The service on a clock that is set by hand: store, living wells, alarms and receivers are the
 * real ones. It can lose its power at any moment, and come up again on what it had written down.
 */
export class SimulatedService {
  nowS: number;
  readonly #options: SimulatedOptions;
  readonly #folder = mkdtempSync(join(tmpdir(), 'simulated-'));
  #parts: { store: SqliteStore; wells: LivingWells; alarms: Alarms } | null = null;

  private constructor(options: SimulatedOptions) {
    this.#options = options;
    this.nowS = options.startS;
  }

  static async open(options: SimulatedOptions): Promise<SimulatedService> {
    const service = new SimulatedService(options);
    await service.powerOn();
    return service;
  }

  get isOn(): boolean {
    return this.#parts !== null;
  }

  get alarms(): Alarms {
    return this.#parts!.alarms;
  }

  get wells(): LivingWells {
    return this.#parts!.wells;
  }

  async powerOn(): Promise<void> {
    const { well, alarms: options, tell = () => undefined, say = () => undefined } = this.#options;
    const store = new SqliteStore(join(this.#folder, 'wellwright.sqlite'));
    const clock = { nowS: () => this.nowS };
    const ports = { store, clock, breathe: () => turn(), tell };
    const wells = new LivingWells(ports, 'simulated');
    wells.put(well);
    const alarms = await Alarms.open({
      ...{ store, clock, wells, files: [well], options, tell },
      subscriptionFile: join(this.#folder, 'push.json'),
      say: ({ says }) => say(says),
      holds: () => null,
    });
    this.#parts = { store, wells, alarms };
  }

  /** Nothing is written down any more: what is kept is what was kept. */
  async powerOff(): Promise<void> {
    const { store, alarms } = this.#parts!;
    await alarms.settled();
    this.#parts = null;
    await store.close();
  }

  /** Rows of a device, kept as one pack that comes now. */
  async take(rows: readonly Row[]): Promise<void> {
    const readings = rows.flatMap(({ timeS, pressurePaGauge, currentA }) => [
      ...(pressurePaGauge === null ? [] : [[timeS, CHANNEL.pressure, pressurePaGauge] as const]),
      ...(currentA === null ? [] : [[timeS, CHANNEL.current, currentA] as const]),
    ]);
    await this.#keep({
      count: readings.length,
      timeS: Float64Array.from(readings, ([timeS]) => timeS),
      channel: Uint8Array.from(readings, ([, channel]) => channel),
      value: Float64Array.from(readings, ([, , value]) => value),
    });
  }

  /** Readings of a log, from one to before another, kept as packs that come now. */
  async takeReadings(log: ReadingLog, from: number, to: number): Promise<void> {
    for (let at = from; at < to; at += PACK) {
      const end = Math.min(at + PACK, to);
      await this.#keep({
        count: end - at,
        timeS: Float64Array.from(log.timeS.slice(at, end)),
        channel: Uint8Array.from(log.channel.slice(at, end)),
        value: Float64Array.from(log.value.slice(at, end)),
      });
    }
  }

  async #keep(readings: ReadingBatch): Promise<void> {
    if (readings.count === 0) return;
    const { store, wells, alarms } = this.#parts!;
    const pack = {
      ...{ wellId: this.#options.well.id, device: 'tee', boot: null, seq: null },
      arrivedS: this.nowS,
      refused: [],
      readings,
    };
    const [kept] = await store.keep([pack]);
    wells.kept(pack, kept!);
    alarms.heard(pack);
  }

  /** What the service does once a second. */
  async advance(): Promise<void> {
    const { wells, alarms } = this.#parts!;
    await wells.advance();
    await alarms.advance();
    await alarms.settled();
  }

  async close(): Promise<void> {
    if (this.#parts !== null) {
      await this.#parts.alarms.close();
      await this.#parts.store.close();
    }
    rmSync(this.#folder, { recursive: true });
  }
}
