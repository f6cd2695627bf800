import { isDeeper } from '../base/json-depth.ts';
import { Paces } from '../base/paces.ts';
import {
  type PackBounds,
  type RecordRefusal,
  readPacks,
  type SenmlPack,
} from '../messages/senml/readings.ts';
import type { Clock } from '../ports/clock.ts';
import type { Arrived } from '../ports/reading-source.ts';
import type { Counters, PackRefusal } from './counters.ts';
import { LEAST_SET_S } from './file/uptime.ts';
import type { Limits } from './limits.ts';

/** Index of a refusal that is of the pack as a whole. */
const WHOLE_PACK = -1;

/** A device that was away may bring so many seconds' worth at once. */
const BURST_S = 50;

/** Reasons that only a live reading has; docs/errors.md says what each means. */
export const LIVE_REFUSALS = [
  'unreadable',
  'too-large',
  'too-deep',
  'too-many-devices',
  'too-many-records',
  'name-too-long',
  'too-old',
  'uptime-without-boot',
] as const satisfies readonly (PackRefusal | RecordRefusal | 'too-old' | 'uptime-without-boot')[];

export interface PackReaderOptions {
  /** Ids of the wells that readings are taken for. */
  wells: readonly string[];
  clock: Clock;
  counters: Counters;
  limits: Limits;
}

/** Makes packs of what came in, the same way for every source. Drops nothing without a word. */
export class PackReader {
  readonly counters: Counters;
  readonly limits: Limits;
  readonly #clock: Clock;
  readonly #bounds: PackBounds;
  readonly #devices: Map<string, Set<string>>;
  readonly #paces: Paces;

  constructor({ wells, clock, counters, limits }: PackReaderOptions) {
    this.counters = counters;
    this.limits = limits;
    this.#clock = clock;
    this.#bounds = { records: limits.recordsAPack, nameChars: limits.nameChars };
    this.#devices = new Map();
    for (const id of wells) this.add(id);
    const perS = limits.readingsPerSADevice;
    this.#paces = new Paces({ perS, burst: perS * BURST_S });
  }

  /** Readings are taken for one more well. */
  add(wellId: string): void {
    const { wells } = this.limits;
    if (this.#devices.size >= wells && !this.#devices.has(wellId))
      throw new Error(`expected at most ${wells} wells, found ${this.#devices.size + 1}`);
    this.#devices.set(wellId, this.#devices.get(wellId) ?? new Set());
  }

  knows(wellId: string): boolean {
    const known = this.#devices.has(wellId);
    if (!known) this.counters.add('unknown-well');
    return known;
  }

  /** How long a device that sent too much has to wait [s]; mostly 0. */
  waitS({ wellId, device }: Arrived): number {
    return this.#paces.waitS(`${wellId}/${device}`, performance.now() / 1000);
  }

  /** A pack is taken: it counts towards what its device may send. */
  spend({ wellId, device, readings, refused }: Arrived): void {
    const records = readings.count + refused.length;
    this.#paces.spend(`${wellId}/${device}`, records, performance.now() / 1000);
  }

  /** The packs in a body of SenML JSON, one a device; or why nothing of it can be read. */
  read(wellId: string, body: Uint8Array): Arrived[] | PackRefusal {
    const json = this.#parse(body);
    if (typeof json === 'string') {
      this.#count(json);
      return json;
    }
    return readPacks(json.parsed, this.#bounds).map((pack) => this.#arrived(wellId, pack));
  }

  /** A pack that only records that nothing of it can be read. */
  unread(wellId: string, why: PackRefusal): Arrived {
    return { ...this.#empty(wellId, ''), refused: [{ index: WHOLE_PACK, code: why }] };
  }

  /** One value that came without a time. */
  single(
    { wellId, device }: { wellId: string; device: string },
    reading: { channel: number; value: number } | { wrong: RecordRefusal },
  ): Arrived {
    const pack = this.#empty(wellId, device);
    if (!this.#hasRoomFor(wellId, device)) return this.#refusedWhole(pack, 'too-many-devices');
    if ('wrong' in reading) {
      this.#count(reading.wrong);
      return { ...pack, refused: [{ index: 0, code: reading.wrong }] };
    }
    return { ...pack, readings: batchOf([{ ...reading, timeS: pack.arrivedS }]) };
  }

  #parse(body: Uint8Array): { parsed: object } | PackRefusal {
    if (body.length > this.limits.packBytes) return 'too-large';
    if (isDeeper(body, this.limits.jsonDepth)) return 'too-deep';
    try {
      const parsed: unknown = JSON.parse(UTF8.decode(body));
      return typeof parsed === 'object' && parsed !== null ? { parsed } : 'unreadable';
    } catch {
      return 'unreadable';
    }
  }

  #arrived(wellId: string, senml: SenmlPack): Arrived {
    const { device, boot, seq } = senml;
    const pack = { ...this.#empty(wellId, device), boot, seq };
    if (!this.#hasRoomFor(wellId, device)) return this.#refusedWhole(pack, 'too-many-devices');
    const refused: { index: number; code: string }[] = [...senml.refused];
    if (senml.uptimeS !== null && boot === null) {
      refused.push({ index: WHOLE_PACK, code: 'uptime-without-boot' });
    }
    const { uptimeS, bootBeganS, timeOf } = this.#counted(senml, pack.arrivedS);
    const fit: SenmlPack['readings'] = [];
    for (const reading of senml.readings) {
      const { timeS, byClockS } = timeOf(reading);
      const wrong = this.#wrongTime(byClockS, pack.arrivedS);
      if (wrong === null) fit.push({ ...reading, timeS });
      else refused.push({ index: reading.index, code: wrong });
    }
    for (const { code } of refused) this.#count(code);
    refused.sort((a, b) => a.index - b.index);
    return { ...pack, uptimeS, bootBeganS, readings: batchOf(fit), refused };
  }

  /**
   * Whether the times of a pack are on the counter of a boot, and how to tell each: `timeS` as it
   * is kept, `byClockS` to be judged, as if the pack had arrived at once.
   */
  #counted(senml: SenmlPack, arrivedS: number) {
    const { boot, uptimeS, uptimeAtS, readings } = senml;
    const fits = (timeS: number) => this.#wrongTime(timeS, arrivedS) === null;
    if (uptimeS === null || boot === null) return unixTimes(arrivedS);
    const latestS = Math.max(
      ...readings.filter((one) => !one.relative && fits(one.timeS)).map(({ timeS }) => timeS),
    );
    const atS = uptimeAtS ?? latestS;
    if (fits(atS)) return { ...unixTimes(atS), bootBeganS: atS - uptimeS };
    const timeOf = ({ timeS, relative }: { timeS: number; relative: boolean }) => {
      if (!relative && uptimeAtS === null) return { timeS, byClockS: timeS };
      // The clock is wrong, but how far a reading is from the pack's own time may still hold.
      const apartS = relative ? timeS : timeS - uptimeAtS!;
      return { timeS: uptimeS + apartS, byClockS: arrivedS + apartS };
    };
    return { uptimeS, bootBeganS: null, timeOf };
  }

  #wrongTime(timeS: number, arrivedS: number): string | null {
    if (timeS < LEAST_SET_S) return 'clock-unset';
    if (timeS > arrivedS + this.limits.aheadS) return 'clock-ahead';
    return timeS < arrivedS - this.limits.oldestS ? 'too-old' : null;
  }

  #refusedWhole(pack: Arrived, code: PackRefusal): Arrived {
    this.#count(code);
    return { ...pack, refused: [{ index: WHOLE_PACK, code }] };
  }

  #count(code: string): void {
    this.counters.add('refused');
    this.counters.add(`refused:${code}`);
  }

  #hasRoomFor(wellId: string, device: string): boolean {
    const known = this.#devices.get(wellId);
    if (known === undefined || known.has(device)) return known !== undefined;
    if (known.size >= this.limits.devicesAWell) return false;
    known.add(device);
    return true;
  }

  #empty(wellId: string, device: string): Arrived {
    return {
      wellId,
      device,
      boot: null,
      seq: null,
      arrivedS: this.#clock.nowS(),
      readings: batchOf([]),
      refused: [],
      uptimeS: null,
      bootBeganS: null,
    };
  }
}

const UTF8 = new TextDecoder('utf-8', { fatal: true });

/** Unix times, those that are relative from a moment on. */
function unixTimes(fromS: number) {
  const timeOf = (reading: { timeS: number; relative: boolean }) => {
    const timeS = reading.relative ? fromS + reading.timeS : reading.timeS;
    return { timeS, byClockS: timeS };
  };
  return { uptimeS: null, bootBeganS: null, timeOf };
}

function batchOf(readings: readonly { timeS: number; channel: number; value: number }[]) {
  return {
    count: readings.length,
    timeS: Float64Array.from(readings, ({ timeS }) => timeS),
    channel: Uint8Array.from(readings, ({ channel }) => channel),
    value: Float64Array.from(readings, ({ value }) => value),
  };
}
