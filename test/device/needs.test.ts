import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Board, HEAP_BYTES } from './board.ts';
import { Link } from './link.ts';
import { FAIR, SKIP_S } from './packs.ts';

let link: Link;
beforeEach(async () => {
  link = await Link.open();
});
afterEach(() => link.close());

describe('what a board must have', () => {
  it('a heap of 100 kB is enough: starts, an outage with files, a backlog sent', async () => {
    const settings = { TIME_SERVER: '192.168.1.1' };
    const runs = [
      [10, 10.3, 30],
      [10.3, 4000, 8],
    ];
    const board = await Board.on(link, { settings, bench: { ...FAIR, runs } });
    await board.until(30);
    link.down();
    await board.until(600, SKIP_S);
    expect(board.ask('len(sender.queue.files)')).toBeGreaterThan(1);
    link.isUp = true;
    await board.until(680);
    expect(board.ask('len(sender.queue.files)')).toBe(0);
    expect(board.grewBytes).toBe(0);
    expect(board.peakBytes).toBeLessThan(HEAP_BYTES);
    board.run('more = [bytearray(20000) for _ in range(3)]');
    expect(board.grewBytes).toBeGreaterThan(0);
  });
  it('a reading has 44 bytes with its checksum, a file 4 KiB at most', async () => {
    const board = await Board.on(link);
    expect(board.ask('len(main.sealed(bytes(main.SIZE)))')).toBe(44);
    expect(board.ask('main.FILE_READINGS * settings.KEEP_FILES')).toBe(4650);
    expect(board.ask('main.FILE_READINGS * (main.SIZE + 4)')).toBeLessThanOrEqual(4096);
  });
  it('a watchdog that is fed each turn', async () => {
    const board = await Board.on(link, { bench: FAIR });
    await board.until(5);
    await expect(board.until(30, 9)).rejects.toThrow('the watchdog bites');
  });
});
