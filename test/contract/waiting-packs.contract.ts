import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { BootTime, WaitingPack, WaitingPacks } from '../../src/ports/waiting-packs.ts';

/** What keeps packs that wait; `reopen` stops it and starts it again on what it kept. */
export interface WaitingPlace {
  packs: WaitingPacks;
  reopen(): Promise<WaitingPlace>;
  close(): Promise<void>;
}

/** What every store of waiting packs keeps to. */
export function waitingPacksContract(name: string, make: () => Promise<WaitingPlace>): void {
  describe(`${name}, as a store of packs that wait`, () => {
    let place: WaitingPlace;
    beforeEach(async () => {
      place = await make();
    });
    afterEach(() => place.close());

    const pack = (seq: number | null, more: Partial<WaitingPack> = {}): WaitingPack => ({
      wellId: 'barn',
      device: 'd',
      boot: 1,
      seq,
      arrivedS: 1_775_433_600.25,
      readings: {
        count: 2,
        timeS: Float64Array.of(12.5, 13),
        channel: Uint8Array.of(0, 1),
        value: Float64Array.of(379_000, 7.9),
      },
      refused: [{ index: 3, code: 'wrong-unit' }],
      uptimeS: 13,
      ...more,
    });
    const boot = (more: Partial<BootTime> = {}): BootTime => ({
      wellId: 'barn',
      device: 'd',
      boot: 1,
      beganS: 1_775_433_000.5,
      fromDevice: false,
      ...more,
    });

    it('gives back what it kept, in order, after it was stopped as well', async () => {
      const kept = await place.packs.wait([pack(1), pack(2, { device: '' })]);
      expect(kept).toEqual([0, 1].map(() => ({ accepted: 2, duplicate: 0, earliestS: NaN })));
      await place.packs.wait([pack(0)]);
      place = await place.reopen();
      const waiting = await place.packs.waiting();
      expect(waiting.map(({ seq, device }) => [seq, device])).toEqual([
        [1, 'd'],
        [2, ''],
        [0, 'd'],
      ]);
      expect(waiting[0]).toMatchObject(pack(1));
    });

    it('keeps a pack of the same device, boot and seq once, without a seq each', async () => {
      await place.packs.wait([pack(1)]);
      const again = await place.packs.wait([pack(1), pack(1, { boot: 2 }), pack(null), pack(null)]);
      expect(again.map(({ accepted, duplicate }) => [accepted, duplicate])).toEqual([
        [0, 2],
        [2, 0],
        [2, 0],
        [2, 0],
      ]);
      expect(await place.packs.waiting()).toHaveLength(4);
    });

    it('lets the packs of a boot go that is settled, and no others', async () => {
      await place.packs.wait([
        pack(1),
        pack(2, { boot: 2 }),
        pack(3, { device: 'e' }),
        pack(4, { wellId: 'ridge-house' }),
      ]);
      await place.packs.settle(boot());
      expect((await place.packs.waiting()).map(({ seq }) => seq)).toEqual([2, 3, 4]);
    });

    it('remembers when boots began, the latest word on each, in order', async () => {
      await place.packs.settle(boot());
      await place.packs.settle(boot({ boot: 7 }));
      await place.packs.settle(boot({ beganS: 1_775_433_001, fromDevice: true }));
      place = await place.reopen();
      expect(await place.packs.boots()).toEqual([
        boot({ beganS: 1_775_433_001, fromDevice: true }),
        boot({ boot: 7 }),
      ]);
    });
  });
}
