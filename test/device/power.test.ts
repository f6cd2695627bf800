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
    expect(inRam).toBeLessThan(100);
    expect(old.every(({ bootBeganS }) => bootBeganS === null)).toBe(false);
    const fresh = ofBoot(after.ask('sender.boot'));
    expect(fresh[0]!.seq).toBe(0);
    expect(fresh.length + old.length).toBe(once(link.packs).length);
    expect(refusedIn(link.packs)).toEqual([]);
  });
  it.each([
    ['while a file was written', (flash: Flash) => flash.set('waiting/part', Uint8Array.of(1, 2))],
    [
      'and the file system left half of the oldest file',
      (flash: Flash) => flash.set('waiting/0', flash.get('waiting/0')!.slice(0, 1500)),
    ],
    [
      'and the file system left a file of zeros',
      (flash: Flash) => flash.set('waiting/0', new Uint8Array(4004)),
    ],
    ['and the oldest file is empty', (flash: Flash) => flash.set('waiting/0', new Uint8Array(0))],
  ])('%s: the others come whole, and no reading is made up', async (_, harm) => {
    const { boot, inRam, made, flash } = await lostPower();
    const whole = flash.get('waiting/0');
    harm(flash);
    const isHarmed = flash.get('waiting/0') !== whole;
    const after = await Board.on(link, { bench: busy, flash, seed: 2 });
    await after.sendAll();
    const online = link.packs.findIndex(
      ({ seq }, i) => i > 0 && seq! - link.packs[i - 1]!.seq! > 1,
    );
    expect(online > 0).toBe(isHarmed);
    expect(ofBoot(boot).length).toBe(made - inRam - (isHarmed ? 100 : 0));
    expect(after.said.includes('waiting/0 is damaged')).toBe(isHarmed);
    expect(refusedIn(link.packs)).toEqual([]);
    const volts = valuesOf(ofBoot(boot), 'pressure-raw').map(({ value }) => value);
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
