import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Board, type Flash } from './board.ts';
import { Link } from './link.ts';
import { BUSY as busy, countTo, once, refusedIn, SKIP_S, seqsOf, valuesOf } from './packs.ts';

let link: Link;
beforeEach(async () => {
  link = await Link.open();
});
afterEach(() => link.close());

const ofBoot = (boot: number) => once(link.packs).filter((pack) => pack.boot === boot);

describe('the power fails', () => {
  /** A board that lost its power after so long without the network, and what it had. */
  async function lostPower() {
    const settings = { TIME_SERVER: '192.168.1.1' };
    const board = await Board.on(link, { bench: busy, settings });
    await board.until(10);
    link.down();
    await board.until(500, SKIP_S);
    const [boot, inRam, made] = board.ask<number[]>(
      '[sender.boot, len(sender.queue.readings), sender.seq]',
    );
    return { boot: boot!, inRam: inRam!, made: made!, flash: board.flash() };
  }
  it('amid an outage: what flash holds comes with its boot number and its times', async () => {
    const { boot, inRam, made, flash } = await lostPower();
    const bench = { ...busy, us: 600e6 };
    const after = await Board.on(link, { bench, flash, seed: 2 });
    await after.sendAll();
    expect(after.ask('sender.boot')).not.toBe(boot);
    const old = ofBoot(boot);
    expect(seqsOf(old)).toEqual(countTo(old.length));
    expect(made - old.length).toBe(inRam);
    expect(inRam).toBeLessThan(93);
    expect(old.every(({ bootBeganS }) => bootBeganS === null)).toBe(false);
    const fresh = ofBoot(after.ask('sender.boot'));
    expect(fresh[0]!.seq).toBe(0);
    expect(fresh.length + old.length).toBe(once(link.packs).length);
    expect(refusedIn(link.packs)).toEqual([]);
  });
  const half = (flash: Flash) => flash.get('waiting/0')!.slice(0, 1500);
  it.each([
    ['while a file was written', 0, 'part', () => Uint8Array.of(1, 2)],
    // 34 readings of 44 bytes are whole in 1500 bytes, of 93.
    ['and half of the oldest file is left', 59, '0', half],
    ['and zeros are left of the oldest file', 93, '0', () => new Uint8Array(4092)],
    ['and nothing is left of the oldest file', 93, '0', () => new Uint8Array(0)],
  ])('%s: %i readings are lost and counted, none is made up', async (_, lost, name, harm) => {
    const { boot, inRam, made, flash } = await lostPower();
    flash.set(`waiting/${name}`, harm(flash));
    const after = await Board.on(link, { bench: busy, flash, seed: 2 });
    await after.sendAll();
    expect(after.ask('sender.queue.dropped')).toBe(lost);
    const old = ofBoot(boot);
    expect(old.length).toBe(made - inRam - lost);
    const steps = seqsOf(old).map((seq, i) => seq - (seqsOf(old)[i - 1] ?? -1));
    // Where readings are lost, there is one hole, as long as what is lost.
    expect(steps.filter((step) => step !== 1)).toEqual(lost > 0 ? [lost + 1] : []);
    expect(refusedIn(link.packs)).toEqual([]);
    const volts = valuesOf(old, 'pressure-raw').map(({ value }) => value);
    for (const value of volts) expect(Math.abs(value - 1.4)).toBeLessThan(0.01);
  });
  it('each start has a boot number of its own', async () => {
    const boots = new Set<number>();
    for (const seed of [1, 2, 3]) {
      const board = await Board.on(link, { seed });
      boots.add(board.ask<number>('sender.boot'));
    }
    expect(boots.size).toBe(3);
  });
});
