import { instant } from '../../base/instant.ts';
import type { DeviceClock } from '../../model/well-now.ts';
import type { Pack, ReadingStore } from '../../ports/reading-store.ts';
import type { Counters } from '../counters.ts';
import type { Limits } from '../limits.ts';

/** Less than this is no clock set back: the analysis puts readings in order over as much [s]. */
const BACK_S = 10;
/** Packs are live where their times keep their distance from their arrivals to within this. */
const STEADY_S = 10;
/** Steady for so long, over so many packs, a distance is that of a clock and not of a backlog. */
const PROVEN_S = 60;
const PROVEN_PACKS = 3;
/** A live device that is further than this from the clock of the service has a wrong one [s]. */
const WRONG_S = 120;
/** How things stand is written down no more often than this [s]. */
const EVERY_S = 60;
/** The record that it is written down in, beside those of spells. */
const HEARD = 'heard';
/** Spells that are remembered of a well. */
const MOST_SPELLS = 100;
const EVER_S = 1e11;

type SpellStore = Pick<ReadingStore, 'putRecords' | 'records'>;

/** A clock that was set back, for as long as it goes over time that it has been through before. */
export interface Spell {
  device: string;
  boot: number;
  /** Packs up to this one were sent before it was told. */
  afterSeq: number;
  /** When it was told, by the clock of the service [Unix s]. */
  sinceS: number;
  behindS: number;
  /** What the device had sent before goes up to here [Unix s]. */
  untilS: number;
  isOver: boolean;
}

/** What the latest boot of a device has sent. */
interface Heard {
  device: string;
  boot: number;
  seq: number;
  newestS: number;
}

interface Boot {
  boot: number;
  seq: number;
  newestS: number;
  /** Packs one after the other whose times keep their distance from their arrivals. */
  steady: { sinceS: number; behindS: number; packs: number };
  spell: Spell | null;
}

export interface ClockWatchOptions {
  store: SpellStore;
  wells: readonly string[];
  counters: Counters;
  limits: Pick<Limits, 'bootsADevice'>;
  /** A clock was told to be wrong, or no longer is: null. */
  onClock?: (wellId: string, device: string, clock: DeviceClock | null) => void;
}

/** Where readings of a well by a clock that was set back are kept, beside those of the well. */
export const apartOf = (wellId: string): string => `${wellId}/clock-back`;

/**
 * Tells clocks of devices that are wrong by when their packs arrive. A live pack (its times go on
 * as arrivals do, which those of a backlog do not) with a later `seq` of the same boot that lies
 * behind what that boot had sent was stamped by a clock set back. Its readings go apart, one by
 * one, until the clock has passed again where it had been: among those that rightly have these
 * times they would be believed. Spells are in the store before the first reading goes apart, and
 * what was heard is once a minute, so that a start anew goes on with both. Times on a counter, and
 * packs without `boot` and `seq`, are not judged.
 */
export class ClockWatch {
  readonly #options: ClockWatchOptions;
  /** Boots of a device, in the order last heard. */
  readonly #devices = new Map<string, Boot[]>();
  readonly #spells = new Map<string, Spell[]>();
  readonly #told = new Map<string, Map<string, DeviceClock>>();
  readonly #unsaved = new Set<string>();
  /** When a well's packs last arrived, and when that was written down [Unix s]. */
  readonly #arrivedS = new Map<string, number>();
  readonly #savedS = new Map<string, number>();
  /** The latest arrival that was written down before this start [Unix s]; -Infinity without one. */
  heardBeforeS = Number.NEGATIVE_INFINITY;

  private constructor(options: ClockWatchOptions) {
    this.#options = options;
  }

  /** A watch that knows which clocks were set back. */
  static async open(options: ClockWatchOptions): Promise<ClockWatch> {
    const watch = new ClockWatch(options);
    for (const wellId of options.wells) await watch.add(wellId);
    return watch;
  }

  /** One more well is watched, with what is known of its clocks. */
  async add(wellId: string): Promise<void> {
    const held = await this.#options.store.records(apartOf(wellId), 'note', -EVER_S, EVER_S);
    for (const { id, atS, body } of held) {
      if (id !== HEARD) this.#resume(wellId, body as Spell);
      else this.#remember(wellId, atS, body as Heard[]);
    }
  }

  /** Clocks of devices of a well that are wrong as far as was last heard. */
  wrong(wellId: string): DeviceClock[] {
    return [...(this.#told.get(wellId)?.values() ?? [])];
  }

  /** All spells of a well that are remembered. */
  spells(wellId: string): readonly Spell[] {
    return this.#spells.get(wellId) ?? [];
  }

  /** Notes when a pack arrived. */
  note({ wellId, arrivedS }: Pack): void {
    this.#arrivedS.set(wellId, arrivedS);
    const apartS = Math.abs(arrivedS - (this.#savedS.get(wellId) ?? Number.NEGATIVE_INFINITY));
    if (apartS >= EVERY_S) this.#unsaved.add(wellId);
  }

  /** The pack as the well is to have it, and what of it goes apart. */
  judge(pack: Pack): { ready: Pack; apart: Pack | null } {
    const { boot, seq, arrivedS, readings } = pack;
    if (boot === null || seq === null || readings.count === 0) return { ready: pack, apart: null };
    const latestS = readings.timeS.subarray(0, readings.count).reduce((a, b) => Math.max(a, b));
    const of = this.#bootOf(pack, boot, latestS);
    if (seq > of.seq) {
      this.#keepSteady(of, arrivedS, latestS);
      if (of.spell === null && this.#isBack(of, arrivedS, latestS)) this.#begin(pack, of);
      of.seq = seq;
    }
    const parts = split(pack, of.spell);
    if (of.spell !== null && parts.apart === null && seq > of.spell.afterSeq) this.#end(pack, of);
    if (of.spell === null) {
      of.newestS = Math.max(of.newestS, latestS);
      this.#tellSteady(pack, of);
    }
    return parts;
  }

  /** Resolves once the store has what was told since. Throws StoreRefuses. */
  async save(): Promise<void> {
    for (const wellId of this.#unsaved) {
      const records = this.spells(wellId).map((spell) => ({
        id: `${spell.device} ${spell.boot} ${spell.afterSeq}`,
        atS: spell.sinceS,
        body: spell,
      }));
      const atS = this.#arrivedS.get(wellId)!;
      const all = [...records, { id: HEARD, atS, body: this.#heard(wellId) }];
      await this.#options.store.putRecords(apartOf(wellId), 'note', -EVER_S, all);
      this.#savedS.set(wellId, atS);
      this.#unsaved.delete(wellId);
    }
  }

  #heard(wellId: string): Heard[] {
    return [...this.#devices].flatMap(([key, boots]) => {
      const [id, device] = key.split('\n') as [string, string];
      const { boot, seq, newestS } = boots.at(-1)!;
      return id === wellId ? [{ device, boot, seq, newestS }] : [];
    });
  }

  #bootOf({ wellId, device, seq, arrivedS }: Pack, boot: number, latestS: number): Boot {
    const boots = this.#bootsOf(wellId, device);
    const at = boots.findIndex((one) => one.boot === boot);
    const steady = { sinceS: arrivedS, behindS: arrivedS - latestS, packs: 0 };
    const fresh = { boot, seq: seq! - 1, newestS: latestS, steady, spell: null };
    const of = at < 0 ? fresh : boots.splice(at, 1)[0]!;
    boots.push(of);
    if (boots.length > this.#options.limits.bootsADevice) boots.shift();
    return of;
  }

  #bootsOf(wellId: string, device: string): Boot[] {
    const key = `${wellId}\n${device}`;
    const boots = this.#devices.get(key) ?? [];
    this.#devices.set(key, boots);
    return boots;
  }

  #keepSteady({ steady }: Boot, arrivedS: number, latestS: number): void {
    const behindS = arrivedS - latestS;
    const goesOn = Math.abs(behindS - steady.behindS) <= STEADY_S;
    if (!goesOn) Object.assign(steady, { sinceS: arrivedS, behindS, packs: 0 });
    steady.packs += 1;
  }

  #isBack({ steady, newestS }: Boot, arrivedS: number, latestS: number): boolean {
    // Where what it sent before is still to come, it was ahead, and is right now.
    const wasAhead = newestS > arrivedS + BACK_S;
    return isProven(steady, arrivedS) && latestS < newestS - BACK_S && !wasAhead;
  }

  #begin({ wellId, device, arrivedS }: Pack, of: Boot): void {
    of.spell = {
      ...{ device, boot: of.boot, afterSeq: of.seq },
      sinceS: arrivedS,
      behindS: Math.round(of.steady.behindS),
      untilS: of.newestS,
      isOver: false,
    };
    const all = [...this.spells(wellId), of.spell];
    this.#spells.set(wellId, all.slice(-MOST_SPELLS));
    this.#unsaved.add(wellId);
    this.#options.counters.add('clocks-set-back');
    this.#tell(wellId, device, clockOf(of.spell));
  }

  #end({ wellId, device }: Pack, of: Boot): void {
    of.spell!.isOver = true;
    of.spell = null;
    this.#unsaved.add(wellId);
    this.#tell(wellId, device, null);
  }

  /** Of a clock that goes on from where it was, but is far from that of the service. */
  #tellSteady({ wellId, device, arrivedS }: Pack, { steady }: Boot): void {
    if (!isProven(steady, arrivedS)) return;
    const isWrong = Math.abs(steady.behindS) > WRONG_S;
    const isTold = this.#told.get(wellId)?.has(device) === true;
    const behindS = Math.round(steady.behindS);
    const clock = { device, since: instant(steady.sinceS), behindS, apartUntil: null };
    if (isWrong !== isTold) this.#tell(wellId, device, isWrong ? clock : null);
  }

  #tell(wellId: string, device: string, clock: DeviceClock | null): void {
    const told = this.#told.get(wellId) ?? new Map<string, DeviceClock>();
    this.#told.set(wellId, told);
    if (clock === null) told.delete(device);
    else told.set(device, clock);
    this.#options.onClock?.(wellId, device, clock);
  }

  #resume(wellId: string, spell: Spell): void {
    this.#spells.set(wellId, [...this.spells(wellId), spell]);
    if (spell.isOver) return;
    const { device, boot, afterSeq, sinceS, behindS, untilS } = spell;
    const steady = { sinceS, behindS, packs: 0 };
    this.#bootsOf(wellId, device).push({ boot, seq: afterSeq, newestS: untilS, steady, spell });
    this.#tell(wellId, device, clockOf(spell));
  }

  #remember(wellId: string, atS: number, heard: readonly Heard[]): void {
    this.heardBeforeS = Math.max(this.heardBeforeS, atS);
    for (const { device, boot, seq, newestS } of heard) {
      const boots = this.#bootsOf(wellId, device);
      const of = boots.find((one) => one.boot === boot);
      // Far from any distance: the next pack begins a new one.
      const steady = { sinceS: atS, behindS: Number.POSITIVE_INFINITY, packs: 0 };
      if (of === undefined) boots.push({ boot, seq, newestS, steady, spell: null });
      else of.seq = Math.max(of.seq, seq);
    }
  }
}

const isProven = ({ sinceS, packs }: Boot['steady'], nowS: number): boolean =>
  packs >= PROVEN_PACKS && nowS - sinceS >= PROVEN_S;

const clockOf = ({ device, sinceS, behindS, untilS }: Spell): DeviceClock => ({
  device,
  since: instant(sinceS),
  behindS,
  apartUntil: instant(untilS),
});

/** The readings of a pack that a spell covers go apart; the rest, even none, is the pack. */
function split(pack: Pack, spell: Spell | null): { ready: Pack; apart: Pack | null } {
  if (spell === null || pack.seq! <= spell.afterSeq) return { ready: pack, apart: null };
  const indices = Array.from({ length: pack.readings.count }, (_, i) => i);
  const isApart = (i: number) => pack.readings.timeS[i]! < spell.untilS;
  const behind = indices.filter(isApart);
  if (behind.length === 0) return { ready: pack, apart: null };
  const rest = indices.filter((i) => !isApart(i));
  return {
    ready: { ...pack, readings: those(pack, rest) },
    apart: {
      ...pack,
      wellId: apartOf(pack.wellId),
      readings: those(pack, behind),
      refused: [],
    },
  };
}

function those({ readings }: Pack, indices: readonly number[]): Pack['readings'] {
  return {
    count: indices.length,
    timeS: Float64Array.from(indices, (i) => readings.timeS[i]!),
    channel: Uint8Array.from(indices, (i) => readings.channel[i]!),
    value: Float64Array.from(indices, (i) => readings.value[i]!),
  };
}
