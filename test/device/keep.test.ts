import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { StoreRefuses } from '../../src/ports/reading-store.ts';
import { Board } from './board.ts';
import { Link } from './link.ts';
import { BUSY as busy, countTo, FAIR, once, refusedIn, SKIP_S, seqsOf, valuesOf } from './packs.ts';

let link: Link;
beforeEach(async () => {
  link = await Link.open();
});
afterEach(() => link.close());

const files = 'len(sender.queue.files)';
const dropped = 'sender.queue.dropped';
describe('the network away', () => {
  it('for half an hour: all comes once, from flash, in order', async () => {
    const board = await Board.on(link, { bench: busy });
    await board.until(30, 2 * SKIP_S);
    link.down();
    await board.until(1830, 2 * SKIP_S);
    expect(board.ask(files)).toBeGreaterThan(3);
    for (const [name, content] of board.flash())
      expect(content.length, name).toBeLessThanOrEqual(4096);
    await board.sendAll();
    const kept = once(link.packs);
    expect(refusedIn(kept)).toEqual([]);
    expect(seqsOf(kept)).toEqual(countTo(kept.length));
    const times = valuesOf(kept, 'pressure-raw').map(({ atS }) => atS);
    const steps = times.slice(1).map((at, i) => at - times[i]!);
    expect(Math.min(...steps)).toBeGreaterThan(0);
    expect(Math.max(...steps)).toBeLessThan(4.2);
    expect(board.ask(dropped)).toBe(0);
    expect(times.length).toBeGreaterThan(430);
    expect([...board.flash().keys()].filter((name) => !name.endsWith('part'))).toEqual([]);
  });
  it.each([2, 0])(
    'longer than there is room (%i files): the oldest go, and are counted',
    async (KEEP_FILES) => {
      link.isUp = false;
      const board = await Board.on(link, { settings: { KEEP_FILES }, bench: busy });
      await board.until(900, SKIP_S);
      const gone = board.ask<number>(dropped);
      expect(gone).toBeGreaterThan(90);
      const made = board.ask<number>('sender.seq');
      expect(board.grewBytes).toBe(0);
      await board.sendAll();
      const seqs = seqsOf(once(link.packs));
      // seq counts readings: the hole before the first is what was dropped.
      expect(seqs[0]).toBe(gone);
      expect(seqs).toEqual(countTo(seqs.length).map((i) => gone + i));
      expect(seqs.at(-1)! + 1).toBeGreaterThanOrEqual(made);
      expect(board.said).toContain(`the oldest go: ${gone} readings dropped so far`);
    },
  );
  it('and flash takes nothing: memory alone is used, nothing else stops', async () => {
    link.isUp = false;
    const board = await Board.on(link, { bench: busy });
    board.run(
      'class Full:\n' +
        '    def __getattr__(self, name): return getattr(os, name)\n' +
        '    def rename(self, a, b): raise OSError(28)\n' +
        'main.os = Full()',
    );
    await board.until(600, SKIP_S);
    expect(board.said.some((line) => line.startsWith('flash takes nothing'))).toBe(true);
    const gone = board.ask<number>(dropped);
    expect(gone).toBeGreaterThan(50);
    expect(board.ask(files)).toBe(0);
    board.run('main.os = os');
    await board.until(700, SKIP_S);
    expect(board.ask(files)).toBeGreaterThan(0);
    expect(board.ask(dropped)).toBe(gone);
    for (const [, content] of board.flash()) expect(content.length).toBeLessThanOrEqual(4096);
    await board.sendAll();
    const seqs = seqsOf(once(link.packs));
    expect(seqs).toEqual(countTo(seqs.length).map((i) => gone + i));
  });
  it('wifi lost and found again: it joins anew by itself', async () => {
    const board = await Board.on(link, { bench: FAIR });
    await board.until(12);
    link.down();
    board.run('sender.wifi.is_asked = False');
    await board.until(40);
    await board.sendAll();
    expect(board.ask('sender.wifi.is_asked')).toBe(true);
    expect(seqsOf(once(link.packs))).toEqual(countTo(once(link.packs).length));
  });
});

describe('an acknowledgement', () => {
  it('lost: the reading is sent again with its seq, and kept once', async () => {
    const bench = { ...FAIR, runs: [[0, 1e9, 8]] };
    const settings = { TIME_SERVER: '192.168.1.1' };
    const board = await Board.on(link, { settings, bench });
    await board.until(6);
    link.acknowledgementsToLose = 2;
    await board.until(40);
    await board.sendAll();
    expect(link.acknowledgementsToLose).toBe(0);
    const seqs = seqsOf(link.packs);
    expect(seqs.length).toBe(new Set(seqs).size + 2);
    const { packs } = link.intake.store;
    expect(seqsOf(packs).toSorted((a, b) => a - b)).toEqual(countTo(new Set(seqs).size));
    const twice = seqs.find((seq, i) => seqs.indexOf(seq) !== i)!;
    const same = link.packs.filter(({ seq }) => seq === twice);
    expect(same.length).toBeGreaterThan(1);
    for (const pack of same) expect(pack.readings.value).toEqual(same[0]!.readings.value);
    // MQTT 3.1.1 figure 3.10: QoS 1, not retained; in a clean session none is a duplicate (3.3.1).
    expect(link.flags).toEqual(link.packs.map(() => 2));
  });
  it('withheld while the store refuses: kept by the board until it takes again', async () => {
    const board = await Board.on(link, { bench: { ...FAIR, runs: [[0, 1e9, 8]] } });
    await board.until(5);
    const { store } = link.intake;
    store.refuses = new StoreRefuses('disk-full', 'no space left');
    link.patienceMs = 1;
    await board.until(60);
    expect(board.said.some((line) => line.includes('no answer'))).toBe(true);
    expect(board.ask<number>('len(sender.queue.readings)')).toBeGreaterThan(40);
    store.refuses = null;
    link.patienceMs = 200;
    await new Promise((done) => setTimeout(done, 400));
    await board.sendAll();
    expect(board.ask(dropped)).toBe(0);
    expect(new Set(seqsOf(link.packs)).size).toBe(Math.max(...seqsOf(link.packs)) + 1);
  });
  it('for a reading that went to flash, or was dropped, since: no other goes with it', async () => {
    link.isUp = false;
    const board = await Board.on(link, { settings: { KEEP_FILES: 2 } });
    board.run(
      'q = main.Queue()\n' +
        'make = lambda i: bytes([i & 255, i >> 8]) + bytes(main.SIZE - 2)\n' +
        'for i in range(92): q.add(make(i))\n' +
        'sent = q.oldest()\n' +
        'q.add(make(92))\n' +
        'q.done(sent)',
    );
    expect(board.ask('[len(q.files), q.at, q.oldest()[0]]')).toEqual([1, 1, 1]);
    board.run('sent = q.oldest()\nfor i in range(93, 279): q.add(make(i))\nq.done(sent)');
    expect(board.ask('[q.dropped, len(q.files), q.oldest()[0]]')).toEqual([92, 2, 93]);
  });
});
