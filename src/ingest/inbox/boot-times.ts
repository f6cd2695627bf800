import type { Arrived } from '../../ports/reading-source.ts';
import type { Pack } from '../../ports/reading-store.ts';
import type { BootTime, WaitingPack } from '../../ports/waiting-packs.ts';
import type { Counters } from '../counters.ts';
import type { Limits } from '../limits.ts';

/** A counter of 32 bits in milliseconds starts again after 49.7 days. */
const COUNTER_S = 2 ** 32 / 1000;
/** What arrives sooner after its reading by less than this brings no news of when a boot began. */
const NEWS_S = 1;

interface Boot extends BootTime {
  settled: boolean;
  /** Its beginning is news to the store, or packs wait for it there. */
  toNote: boolean;
  early: boolean;
  waiting: number;
  lastUptimeS: number;
  lastArrivedS: number;
  /** Arrival of the last pack that put the beginning earlier by more than NEWS_S. */
  newsS: number;
}

/**
 * When the boots of devices without a clock began. One pack with both a time and the counter says
 * it at once. Without any, it is the least of arrival less counter over the packs of the boot: a
 * backlog arrives late, and what is sent at once sets it right. That is settled when packs have
 * come for `settleQuietS` without lowering it, when none came for `settleSilentS`, or when as many
 * wait as may. A boot that another one followed ended before that one began, so it is settled after
 * it, and no later than its last pack allows.
 */
export class BootTimes {
  readonly #limits: Limits;
  /** Boots of a device, in the order first heard of. */
  readonly #devices = new Map<string, Boot[]>();
  readonly #counters: Counters;

  constructor(
    { limits, counters }: { limits: Limits; counters: Counters },
    known: readonly BootTime[],
    waiting: readonly WaitingPack[],
  ) {
    this.#limits = limits;
    this.#counters = counters;
    for (const boot of known) this.#remember({ ...newBoot(boot), ...boot, settled: true });
    for (const pack of waiting) this.#note(pack);
  }

  /** Takes a pack that says by itself when its boot began. */
  anchor(pack: Arrived): void {
    const boot = this.#of(pack) ?? this.#remember(newBoot(pack));
    const moved = Math.abs(boot.beganS - pack.bootBeganS!) > NEWS_S;
    if (!boot.settled || !boot.fromDevice || moved) boot.toNote = true;
    Object.assign(boot, { beganS: pack.bootBeganS!, fromDevice: true, settled: true });
  }

  /** The pack with Unix times, or the same pack as one that has to wait. */
  timed(pack: Arrived): { ready: Pack } | { waits: WaitingPack } {
    const boot = this.#of(pack);
    const waits = { ...pack, boot: pack.boot!, uptimeS: pack.uptimeS! };
    if (boot?.settled !== true) return { waits };
    if (!boot.fromDevice) boot.beganS = lesser(boot.beganS, pack.arrivedS - waits.uptimeS);
    return { ready: this.atBoot(waits, boot) };
  }

  /** Takes note of a pack that waits, once it is kept. */
  noteWaiting(pack: WaitingPack): void {
    this.#note(pack);
  }

  /** A pack with its times put after the beginning of its boot. */
  atBoot(pack: WaitingPack, { beganS }: BootTime): Pack {
    const latestS = pack.arrivedS + this.#limits.aheadS;
    const plainS = beganS + pack.uptimeS;
    const shiftS = beganS + Math.floor((latestS - plainS) / COUNTER_S) * COUNTER_S;
    return {
      ...pack,
      readings: { ...pack.readings, timeS: pack.readings.timeS.map((s) => s + shiftS) },
    };
  }

  /** Settles boots whose packs have waited long enough; all that the store is to note. */
  due(nowS: number): (BootTime & { early: boolean })[] {
    const due: Boot[] = [];
    for (const boots of this.#devices.values()) {
      for (let i = boots.length - 1; i >= 0; i--) {
        const boot = boots[i]!;
        if (!boot.settled) this.#settle(boot, boots[i + 1], nowS);
        if (boot.toNote) due.push(boot);
      }
    }
    return due.map((boot) => ({ ...told(boot), early: boot.early }));
  }

  /** Takes note that the store knows when a boot began, and that its packs wait no more. */
  noted(time: BootTime): void {
    const boots = this.#devices.get(keyOf(time.wellId, time.device));
    const boot = boots?.find((one) => one.boot === time.boot);
    if (boot !== undefined) Object.assign(boot, { toNote: false, waiting: 0 });
  }

  #settle(boot: Boot, next: Boot | undefined, nowS: number): void {
    const early = boot.waiting >= this.#limits.waitingPacksABoot;
    const ripe = next === undefined ? this.#isRipe(boot, nowS) : next.settled;
    if (!(early || ripe)) return;
    if (next?.settled) boot.beganS = Math.min(boot.beganS, next.beganS - boot.lastUptimeS);
    Object.assign(boot, { settled: true, toNote: true, early });
  }

  #isRipe({ newsS, lastArrivedS }: Boot, nowS: number): boolean {
    const { settleQuietS, settleSilentS } = this.#limits;
    return lastArrivedS - newsS >= settleQuietS || nowS - lastArrivedS >= settleSilentS;
  }

  #note(pack: WaitingPack): void {
    const beganS = pack.arrivedS - pack.uptimeS;
    const boot = this.#of(pack) ?? this.#remember(newBoot({ ...pack, beganS }));
    boot.waiting++;
    if (boot.settled) {
      boot.toNote = true;
      return;
    }
    const earlierS = lesser(boot.beganS, beganS);
    if (boot.waiting === 1 || boot.beganS - earlierS > NEWS_S) boot.newsS = pack.arrivedS;
    boot.beganS = earlierS;
    boot.lastUptimeS = Math.max(boot.lastUptimeS, pack.uptimeS);
    boot.lastArrivedS = pack.arrivedS;
  }

  #of({ wellId, device, boot }: Pack): Boot | undefined {
    return this.#devices.get(keyOf(wellId, device))?.find((one) => one.boot === boot);
  }

  #remember(boot: Boot): Boot {
    const key = keyOf(boot.wellId, boot.device);
    const boots = this.#devices.get(key) ?? [];
    this.#devices.set(key, boots);
    boots.push(boot);
    // Packs of a boot that is forgotten would wait for ever: only settled ones are.
    const old = boots.length > this.#limits.bootsADevice && boots.findIndex((one) => one.settled);
    if (old !== false && old >= 0) {
      boots.splice(old, 1);
      this.#counters.add('boots-forgotten');
    }
    return boot;
  }
}

const keyOf = (wellId: string, device: string) => `${wellId}\n${device}`;

const told = ({ wellId, device, boot, beganS, fromDevice }: Boot): BootTime => ({
  wellId,
  device,
  boot,
  beganS,
  fromDevice,
});

function newBoot(of: {
  wellId: string;
  device: string;
  boot: number | null;
  beganS?: number;
}): Boot {
  return {
    wellId: of.wellId,
    device: of.device,
    boot: of.boot!,
    beganS: of.beganS ?? Number.NaN,
    fromDevice: false,
    settled: false,
    toNote: false,
    early: false,
    waiting: 0,
    lastUptimeS: Number.NEGATIVE_INFINITY,
    lastArrivedS: Number.NEGATIVE_INFINITY,
    newsS: Number.NEGATIVE_INFINITY,
  };
}

/** The lesser of two beginnings, the second one told apart from it by no whole counter. */
function lesser(beganS: number, otherS: number): number {
  return Math.min(beganS, otherS + Math.round((beganS - otherS) / COUNTER_S) * COUNTER_S);
}
