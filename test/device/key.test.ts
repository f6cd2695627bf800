import { afterEach, beforeEach, expect, it } from 'vitest';
import { Access } from '../../src/access/access.ts';
import { accessFolder } from '../access/set-up.ts';
import { Board } from './board.ts';
import { Link } from './link.ts';
import { FAIR, refusedIn } from './packs.ts';

const USER = 'ridge-house/tee';

let house: Awaited<ReturnType<typeof accessFolder>>;
let access: Access;
let link: Link;
beforeEach(async () => {
  house = await accessFolder([USER]);
  const clock = { nowS: () => Date.now() / 1000 };
  access = await Access.open({ folder: house.folder, clock, say: () => undefined });
  link = await Link.open({ gate: access });
}, 30_000);
afterEach(async () => {
  await link.close();
  access.close();
  house.remove();
});

it('a board with its key hands in readings of its well', async () => {
  const settings = { USER, PASSWORD: house.keys[USER] };
  const board = await Board.on(link, { settings, bench: FAIR });
  await board.until(40);
  expect(link.packs.length).toBeGreaterThan(3);
  expect(refusedIn(link.packs)).toEqual([]);
  expect(link.intake.counters.of('key-refused')).toBe(0);
});

it('a board without one, or with that of another, keeps its readings and tries again', async () => {
  for (const settings of [{}, { USER, PASSWORD: house.keys['barn/tee'] }]) {
    const board = await Board.on(link, { settings, bench: FAIR });
    await board.until(30);
    expect(link.packs).toEqual([]);
    expect(board.said.join('\n')).toContain('network:');
    expect(board.ask('len(sender.queue.readings)')).toBeGreaterThan(2);
  }
  expect(link.intake.counters.of('key-refused')).toBeGreaterThanOrEqual(4);
});
