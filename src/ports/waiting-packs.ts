import type { Kept, Pack } from './reading-store.ts';

/** A pack of a device without a clock, its times in s since a boot whose beginning is not known. */
export interface WaitingPack extends Pack {
  boot: number;
  /** What the counter showed for the pack itself. */
  uptimeS: number;
}

/** When the counter of a boot stood at 0. */
export interface BootTime {
  wellId: string;
  device: string;
  boot: number;
  /** Unix s. */
  beganS: number;
  /** By the device's clock; else by when its packs arrived. */
  fromDevice: boolean;
}

/**
 * Packs that wait until it is known when their boot began. The store of the readings keeps them,
 * too, so that they are as safe.
 */
export interface WaitingPacks {
  /**
   * Resolves once they are durably kept, in one commit. A pack of (well, device, boot, seq) that
   * waits already is a duplicate. `earliestS` is NaN. Throws StoreRefuses.
   */
  wait(packs: readonly WaitingPack[]): Promise<Kept[]>;
  /** All that wait, in the order kept. */
  waiting(): Promise<WaitingPack[]>;
  /** In one commit: notes when the boot began, and lets its packs go, which are readings by now. */
  settle(boot: BootTime): Promise<void>;
  /** All that was noted, in the order first noted. */
  boots(): Promise<BootTime[]>;
}
