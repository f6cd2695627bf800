import { describe, expect, it } from 'vitest';
import { rehearsedLog } from '../../test/support/rehearsed-log.ts';
import { SmallStore } from '../../test/support/small-store.ts';
import type { Well } from '../model/well.ts';
import type { Pack } from '../ports/reading-store.ts';
import type { LivingEvent } from './events.ts';
import { LivingWells } from './living-wells.ts';

const LOG = rehearsedLog({ letter: 'C', days: 1, seed: 61, restS: 20 });

function service() {
  const store = new SmallStore();
  const clock = { s: LOG.timeS.at(-1)! + 60, nowS: () => clock.s };
  const events: LivingEvent[] = [];
  let breaths = 0;
  const breathe = async () => {
    breaths += 1;
  };
  const tell = (event: LivingEvent) => void events.push(event);
  const wells = new LivingWells({ store, clock, breathe, tell }, 'one');
  const hand = async (wellId: string) => {
    const readings = {
      count: LOG.timeS.length,
      timeS: Float64Array.from(LOG.timeS),
      channel: Uint8Array.from(LOG.channel),
      value: Float64Array.from(LOG.value),
    };
    const pack: Pack = {
      wellId,
      device: '',
      boot: null,
      seq: null,
      arrivedS: clock.s,
      readings,
      refused: [],
    };
    const [kept] = await store.keep([pack]);
    wells.kept(pack, kept!);
  };
  return { store, clock, events, wells, hand, breaths: () => breaths };
}

const named = (id: string): Well => ({ ...LOG.well, id });

describe('several wells', () => {
  it('live beside one whose analysis throws, one without a file, one nobody knows', async () => {
    const { store, events, wells, hand, clock } = service();
    wells.put(named('sound'));
    wells.put({ ...named('throws'), timeZone: 'Nowhere/None' });
    wells.putBroken('broken', 'line 3: expected a unit');
    for (const id of ['sound', 'throws', 'broken', 'unknown']) await hand(id);
    await wells.advance();
    await wells.advance();
    const of = (id: string) => wells.states().find(({ wellId }) => wellId === id);
    const keptReadings = LOG.timeS.length;
    expect(of('sound')).toMatchObject({ state: 'alive', says: null, failures: 0, keptReadings });
    expect(of('throws')).toMatchObject({ state: 'failed', failures: 1, keptReadings });
    expect(of('throws')!.says).toMatch(/Nowhere/);
    expect(of('broken')).toMatchObject({
      state: 'no-well-file',
      says: 'line 3: expected a unit',
      keptReadings,
    });
    expect(of('unknown')).toMatchObject({ state: 'no-well-file', keptReadings });
    expect((await wells.get('sound')!.study())!.runs.length).toBeGreaterThan(3);
    expect(events.filter(({ kind }) => kind === 'trouble').map(({ well }) => well)).toEqual([
      'broken',
      'throws',
    ]);
    expect(await store.keptBefore('throws', 1e12)).toBe(keptReadings);
    clock.s += 61;
    await wells.advance();
    expect(of('throws')!.failures).toBe(2);
    // Its file is mended: everything that was kept meanwhile is analysed.
    const { runs } = (await wells.get('sound')!.study())!;
    wells.put(named('throws'));
    await wells.advance();
    expect(of('throws')!.state).toBe('alive');
    expect((await wells.get('throws')!.study())!.runs).toEqual(runs);
  });

  it('take turns, and an edited file takes the place of a replay that is on', async () => {
    const { events, wells, hand, breaths } = service();
    wells.put(named('a'));
    wells.put(named('b'));
    for (const id of ['a', 'b']) await hand(id);
    const first = wells.advance();
    wells.put({ ...named('a'), people: 9 });
    await first;
    await wells.advance();
    expect(breaths()).toBeGreaterThan((2 * LOG.timeS.length) / 512);
    expect(wells.states().map(({ state }) => state)).toEqual(['alive', 'alive']);
    expect(events.filter(({ kind }) => kind === 'trouble')).toEqual([]);
    const study = await wells.get('a')!.study();
    expect(study!.runs.length).toBeGreaterThan(3);
    await wells.close();
  });

  it('stop at once in the middle of a replay, and go on from there another time', async () => {
    const { store, wells, hand, clock, events } = service();
    wells.put(named('a'));
    await hand('a');
    const replay = wells.advance();
    await wells.close();
    await replay;
    // It had not come to the present, and says so.
    expect(wells.get('a')!.now().replay).not.toBeNull();
    const next = new LivingWells(
      { store, clock, breathe: async () => undefined, tell: (event) => void events.push(event) },
      'one',
    );
    next.put(named('a'));
    await next.advance();
    expect((await next.get('a')!.study())!.runs.length).toBeGreaterThan(3);
    await next.close();
    expect(await store.snapshots('a')).not.toEqual([]);
    expect(events.filter(({ kind }) => kind === 'trouble')).toEqual([]);
  });

  it('wait for a past that is being handed in, however that ends, and no longer', async () => {
    const { wells, hand } = service();
    for (const id of ['held', 'failed', 'free']) wells.put(named(id));
    const past = Promise.withResolvers<void>();
    wells.holdUntil('held', past.promise);
    wells.holdUntil('failed', Promise.reject(new Error('no log')));
    for (const id of ['held', 'failed', 'free']) await hand(id);
    const gone = wells.advance();
    const at = (id: string) => wells.get(id)!.now().at;
    while (at('free') === null || at('failed') === null) await new Promise(setImmediate);
    await wells.advance();
    expect(at('held')).toBe(null);
    past.resolve();
    await gone;
    expect(at('held')).toBe(at('free'));
  });
});
