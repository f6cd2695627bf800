import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Board } from './board.ts';
import { Link } from './link.ts';
import { countTo, FAIR, HASTY, once, refusedIn, SKIP_S, seqsOf, valuesOf } from './packs.ts';

let link: Link;
beforeEach(async () => {
  link = await Link.open();
});
afterEach(() => link.close());

describe('the network away', () => {
  const busy = { ...HASTY, runs: [[0, 1e9, 8]] };
  it('for two hours: all comes once, from flash, in order', async () => {
    const settings = { KEEP_FILES: 60 };
    const board = await Board.on(link, { settings, bench: busy });
    await board.until(30, 2 * SKIP_S);
    link.down();
    await board.until(7230, 2 * SKIP_S);
    expect(board.ask('len(sender.store.files)')).toBeGreaterThan(10);
    for (const [name, content] of board.flash())
      expect(content.length, name).toBeLessThanOrEqual(4096);
    link.isUp = true;
    await board.until(7260);
    expect(board.ask('len(sender.store.files)')).toBe(0);
    const kept = once(link.packs);
    expect(refusedIn(kept)).toEqual([]);
    expect(seqsOf(kept)).toEqual(countTo(kept.length));
    const times = valuesOf(kept, 'pressure-raw').map(({ uptimeS }) => uptimeS);
    expect(times).toEqual(times.toSorted((a, b) => a - b));
    const steps = times.slice(1).map((at, i) => at - times[i]!);
    expect(Math.max(...steps)).toBeLessThan(4.2);
    expect(board.ask('sender.store.dropped')).toBe(0);
    expect(times.length).toBeGreaterThan(1700);
  });
  it('longer than there is room: the oldest go, and each is counted', async () => {
    for (const settings of [
      { KEEP_FILES: 3, KEEP_IN_RAM: 400 },
      { KEEP_FILES: 0, KEEP_IN_RAM: 400 },
    ]) {
      const from = link.packs.length;
      link.isUp = false;
      const board = await Board.on(link, { settings, bench: busy });
      await board.until(1200, SKIP_S);
      link.isUp = true;
      await board.until(1210);
      const kept = once(link.packs.slice(from));
      const dropped = board.ask<number>('sender.store.dropped');
      expect(dropped).toBeGreaterThan(100);
      const seqs = seqsOf(kept);
      const first = seqs[0]!;
      expect(seqs).toEqual(countTo(seqs.length).map((i) => first + i));
      // Ten readings a pack while it was away: the hole in seq is what was dropped.
      expect(dropped).toBe(first * 10);
      expect(board.said.some((line) => line.startsWith(`${dropped} readings dropped`))).toBe(true);
      link.down();
    }
  });
  it('and flash takes nothing: memory alone is used, nothing else stops', async () => {
    const settings = { KEEP_IN_RAM: 300 };
    link.isUp = false;
    const board = await Board.on(link, { settings, bench: busy });
    board.run(
      'class Full:\n' +
        '    def __getattr__(self, name): return getattr(os, name)\n' +
        '    def rename(self, a, b): raise OSError(28)\n' +
        'main.os = Full()',
    );
    await board.until(800, SKIP_S);
    expect(board.said.filter((line) => line.startsWith('flash takes nothing'))).not.toEqual([]);
    expect(board.said.length).toBeLessThan(40);
    const dropped = board.ask<number>('sender.store.dropped');
    expect(dropped).toBeGreaterThan(50);
    // Once it takes something again, the memory is too full for one file.
    board.run('main.os = os');
    await board.until(1100, SKIP_S);
    expect(board.ask<number>('len(sender.store.files)')).toBeGreaterThan(1);
    for (const [name, content] of board.flash())
      expect(content.length, name).toBeLessThanOrEqual(4096);
    const gone = board.ask<number>('sender.store.dropped');
    link.isUp = true;
    await board.until(1110);
    const seqs = seqsOf(once(link.packs));
    expect(seqs).toEqual(countTo(seqs.length).map((i) => gone / 10 + i));
  });
});

describe('an acknowledgement lost', () => {
  it.each(['mqtt', 'http'])('over %s: sent again with its seq, nothing missing', async (way) => {
    const settings = { WAY: way, PORT: way === 'mqtt' ? 1883 : 8080 };
    const board = await Board.on(link, { settings, bench: { ...FAIR, runs: [[0, 1e9, 8]] } });
    await board.until(6);
    link.acknowledgementsToLose = 2;
    await board.until(40);
    expect(link.acknowledgementsToLose).toBe(0);
    const seqs = seqsOf(link.packs);
    expect(seqs.length).toBe(new Set(seqs).size + 2);
    expect(seqsOf(once(link.packs))).toEqual(countTo(new Set(seqs).size));
    const twice = seqs.find((seq, i) => seqs.indexOf(seq) !== i)!;
    const same = link.packs.filter(({ seq }) => seq === twice);
    expect(same.length).toBeGreaterThan(1);
    for (const pack of same) expect(pack.records).toEqual(same[0]!.records);
    // MQTT 3.1.1: identifiers are not 0 (2.3.1), a session that is clean has no duplicates (3.3.1).
    expect(link.headers).toHaveLength(way === 'mqtt' ? link.packs.length : 0);
    for (const { qos, retain, dup, messageId } of link.headers) {
      expect([qos, retain, dup]).toEqual([1, false, false]);
      expect(messageId).toBeGreaterThan(0);
    }
  });
  it('and come after the pack was dropped for want of room: no other goes with it', async () => {
    const settings = { KEEP_FILES: 0, KEEP_IN_RAM: 20 };
    const board = await Board.on(link, { settings });
    board.run(
      'store = sender.store\n' +
        'for at in range(5): store.add(at, (1.0, 1.0, 1.0, 1.0))\n' +
        'boot, _, sent = store.oldest()\n' +
        'for at in range(30): store.add(at, (1.0, 1.0, 1.0, 1.0))\n' +
        'before = store.count, store.oldest()[2][0][0]\n' +
        'store.done(boot, sent[0][0])',
    );
    expect(board.ask('sent[0][0]')).toBe(0);
    expect(board.ask<number[]>('before')[1]).toBeGreaterThan(0);
    expect(board.ask('[store.count, store.oldest()[2][0][0]]')).toEqual(board.ask('before'));
    board.run('store.done(boot, before[1])');
    expect(board.ask<number>('store.count')).toBeLessThan(board.ask<number[]>('before')[0]!);
  });
});

describe('the power fails', () => {
  it('amid an outage: a new boot, what flash holds comes with the old one', async () => {
    link.isUp = false;
    const busy = { ...HASTY, runs: [[0, 1e9, 8]] };
    const board = await Board.on(link, { bench: busy });
    await board.until(1000, SKIP_S);
    const boot = board.ask<number>('sender.store.boot');
    const inRam = board.ask<number>('sender.store.count');
    const made = board.ask<number>('sender.store.seq') + 1;
    const flash = board.flash();
    flash.set('waiting/part', new Uint8Array([1, 2, 3]));
    link.isUp = true;
    const after = await Board.on(link, { bench: busy, flash, seed: 2 });
    await after.until(20);
    expect(after.ask('sender.store.boot')).toBe(boot + 1);
    const old = once(link.packs).filter((pack) => pack.boot === boot);
    expect(seqsOf(old)).toEqual(countTo(old.length));
    expect(made - old.length).toBe(Math.ceil(inRam / 10));
    expect(inRam).toBeLessThanOrEqual(146);
    const fresh = once(link.packs).filter((pack) => pack.boot === boot + 1);
    expect(fresh[0]!.seq).toBe(0);
    expect(fresh.length + old.length).toBe(once(link.packs).length);
    expect(refusedIn(link.packs)).toEqual([]);
  });
  it('and the memory is wiped: the boot number is no old one', async () => {
    const boots: number[] = [];
    for (const seed of [1, 2, 3]) {
      const board = await Board.on(link, { seed });
      boots.push(board.ask<number>('sender.store.boot'));
    }
    expect(new Set(boots).size).toBe(3);
    const flash = new Map([['boot', new TextEncoder().encode('torn?')]]);
    const board = await Board.on(link, { seed: 4, flash });
    expect(board.ask('sender.store.boot')).toBeGreaterThan(0);
  });
});
