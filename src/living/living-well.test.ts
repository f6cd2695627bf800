import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Mangling, mangled } from '../../test/support/mangled.ts';
import { evenNumbers } from '../../test/support/numbers.ts';
import { type RehearsedLog, rehearsedLog } from '../../test/support/rehearsed-log.ts';
import { SmallStore } from '../../test/support/small-store.ts';
import { Pipeline } from '../pipeline/pipeline.ts';
import { studyOf } from '../pipeline/result.ts';
import type { Pack } from '../ports/reading-store.ts';
import type { LivingEvent } from './events.ts';
import { LivingWell } from './living-well.ts';

const LOG = rehearsedLog({ letter: 'C', days: 2, seed: 61, restS: 20 });
const GALLON_M3 = 231 * 0.0254 ** 3;
const END_S = LOG.timeS.at(-1)!;

/** A store, a clock and a well that lives on them; `restart` is what a kill leaves. */
function house(store = new SmallStore(), well = LOG.well) {
  const clock = { s: LOG.timeS[0]!, nowS: () => clock.s };
  const events: LivingEvent[] = [];
  const life = { breaths: Infinity, end: () => undefined as unknown };
  const ports = {
    store,
    clock,
    breathe: () => {
      life.breaths -= 1;
      if (life.breaths > 0) return Promise.resolve();
      life.end();
      return new Promise<void>(() => undefined);
    },
    tell: (event: LivingEvent) => void events.push(event),
  };
  const born = (codeVersion = 'one') => new LivingWell(well, ports, { codeVersion });
  const its = { store, clock, events, ports, well: born(), restart: () => (its.well = born()) };
  const hand = async (pack: Pack) => {
    const [kept] = await store.keep([pack]);
    its.well.kept(pack, kept!);
  };
  /** Goes on, and is killed between two slices or soon after: nothing more is done or heard. */
  const advanceAndDie = async (breaths: number) => {
    life.breaths = breaths;
    const end = new Promise((resolve) => {
      life.end = () => resolve(undefined);
    });
    await Promise.race([its.well.advance(), end]);
    life.breaths = Infinity;
    its.restart();
  };
  return Object.assign(its, { hand, born, advanceAndDie });
}

type House = ReturnType<typeof house>;

/** The readings of a log from `from` to before `to`, one device or the channels of two. */
function packsOf(log: RehearsedLog, from: number, to: number, devices: 1 | 2): Pack[] {
  const names = devices === 1 ? [''] : ['tee', 'clamp'];
  return names.map((device, k) => {
    const at = [...log.timeS.keys()]
      .slice(from, to)
      // The intake refuses what is no number.
      .filter((i) => Number.isFinite(log.value[i]))
      .filter((i) => devices === 1 || log.channel[i] === k);
    return {
      wellId: log.well.id,
      device,
      boot: null,
      seq: null,
      arrivedS: NaN,
      readings: {
        count: at.length,
        timeS: Float64Array.from(at, (i) => log.timeS[i]!),
        channel: Uint8Array.from(at, (i) => log.channel[i]!),
        value: Float64Array.from(at, (i) => log.value[i]!),
      },
      refused: [],
    };
  });
}

/** What `study` says of all that the store holds. */
async function plainStudy(store: SmallStore, well = LOG.well): Promise<string> {
  const pipeline = new Pipeline(well);
  for await (const batch of store.readings(well.id, -1e12, 1e12)) pipeline.take(batch);
  pipeline.end();
  return JSON.stringify(studyOf(pipeline, { setAside: [], told: [] }));
}

/** Hands the whole log in, `each` readings at a time, as they would come. */
async function live(its: House, each = 240, from = 0, to = LOG.timeS.length): Promise<void> {
  for (let at = from; at < to; at += each) {
    const until = Math.min(at + each, to);
    its.clock.s = LOG.timeS[until - 1]! + 1;
    for (const pack of packsOf(LOG, at, until, 1)) await its.hand(pack);
    await its.well.advance();
  }
  its.clock.s += 5;
  await its.well.advance();
}

interface Way {
  how: Mangling;
  seed: number;
  devices: 1 | 2;
  packs: number;
  delayed: number;
  restarted: number;
}

const way: fc.Arbitrary<Way> = fc.record({
  how: fc.record({
    seed: fc.nat(),
    duplicated: fc.constantFrom(0, 0.02),
    disordered: fc.constantFrom(0, 0.02),
    lost: fc.constantFrom(0, 0.05),
    unusable: fc.constantFrom(0, 0.001),
    gaps: fc.nat(2),
    clockSteps: fc.nat(2),
  }),
  seed: fc.nat(),
  devices: fc.constantFrom(1, 2),
  packs: fc.integer({ min: 5, max: 60 }),
  delayed: fc.constantFrom(0, 0.1, 0.5),
  restarted: fc.constantFrom(0, 0.1, 0.3),
});

/** Packs cut anywhere, some of them hours late or a day; kills between any two. */
async function livedThrough({ how, seed, devices, packs, delayed, restarted }: Way) {
  const log = mangled(LOG, how);
  const random = evenNumbers(seed);
  const count = log.timeS.length;
  const cuts = Array.from({ length: packs }, () => Math.floor(random() * count));
  const edges = [0, ...cuts.sort((a, b) => a - b), count];
  const DELAYS_S = [20, 200, 7000, 86_400];
  const sent = edges.slice(1).flatMap((to, k) =>
    packsOf(log, edges[k]!, to, devices)
      .filter(({ readings }) => readings.count > 0)
      .map((pack) => {
        const late = random() < delayed ? DELAYS_S[Math.floor(random() * 4)]! : random() * 3;
        return { pack, atS: Math.max(...LOG.timeS.slice(edges[k]!, to), LOG.timeS[0]!) + late };
      }),
  );
  const its = house();
  for (const { pack, atS } of sent.sort((a, b) => a.atS - b.atS)) {
    its.clock.s = Math.max(atS, its.clock.s);
    await its.hand(pack);
    if (random() < 0.8) await its.well.advance();
    if (random() < restarted) await its.advanceAndDie(1 + Math.floor(random() * 8));
    if (random() < restarted) await its.well.close();
  }
  return its;
}

describe('a living well', () => {
  it('says what study says, however its readings come and however often it is killed', async () => {
    let backAgain = 0;
    await fc.assert(
      fc.asyncProperty(way, async (one) => {
        const its = await livedThrough(one);
        const living = JSON.stringify(await its.well.study());
        expect(living).toBe(await plainStudy(its.store));
        backAgain += its.events.filter(({ kind }) => kind === 'restated').length;
      }),
      { numRuns: 6, seed: 7 },
    );
    expect(backAgain).toBeGreaterThan(3);
  });
});

describe('what a living well tells', () => {
  it('puts runs, days, draws and findings into the store as the study has them', async () => {
    const its = house();
    await live(its);
    const study = (await its.well.study())!;
    const all = async (kind: 'run' | 'day' | 'draw' | 'finding') =>
      (await its.store.records(LOG.well.id, kind, -1e12, 1e12)).map(({ body }) => body);
    const runs = (await all('run')) as typeof study.runs;
    expect(runs.length).toBeGreaterThan(10);
    // The study ends what is on; the record has what is over.
    expect(runs.map(({ start }) => start)).toEqual(
      study.runs.slice(0, runs.length).map(({ start }) => start),
    );
    for (const [i, { pumpedM3 }] of runs.entries())
      expect(Math.abs(pumpedM3! / study.runs[i]!.pumpedM3! - 1)).toBeLessThan(0.05);
    const days = (await all('day')) as { date: string; open: boolean }[];
    expect(days.map(({ date, open }) => [date, open])).toEqual([
      ['2026-04-06', false],
      ['2026-04-07', true],
    ]);
    const draws = (await all('draw')) as typeof study.draws;
    expect(draws.length).toBeGreaterThan(20);
    // How old draws can be: those of the rest in hand, and of a quarter of an hour before a run.
    const settledS = Date.parse(runs.at(-1)!.start) / 1000;
    for (const { start } of draws) expect(Date.parse(start) / 1000).toBeLessThan(settledS - 900);
    expect(study.draws.length).toBeGreaterThan(draws.length);
    const told = its.events.filter(({ kind }) => kind === 'run');
    expect(told.length).toBeGreaterThanOrEqual(runs.length);
  });

  it('says how things stand as the plant has it, and marks what is not over', async () => {
    const its = house();
    const seen: { on: boolean | null; used: number; std: number; date: string }[] = [];
    const days = LOG.truth.days;
    for (let at = 0; at < LOG.timeS.length; at += 60) {
      const to = Math.min(at + 60, LOG.timeS.length);
      await live(its, 60, at, to);
      const now = its.well.now();
      if (now.day === null) continue;
      expect(now.day.open).toBe(true);
      seen.push({
        on: now.pump.on,
        used: now.day.usedM3!,
        std: now.day.usedM3Std!,
        date: now.day.date,
      });
    }
    expect(seen.filter(({ on }) => on).length).toBeGreaterThan(3);
    expect(seen.filter(({ on }) => on === false).length).toBeGreaterThan(100);
    const first = seen.filter(({ date }) => date === '2026-04-06');
    // What has been used never falls by more than a flush while the day goes on.
    for (const [i, { used }] of first.entries())
      if (i > 0) expect(used - first[i - 1]!.used).toBeGreaterThan(-0.02);
    const truth = days.find(({ date }) => date === '2026-04-06')!;
    const { used, std } = first.at(-1)!;
    expect(Math.abs(used - truth.used_gal * GALLON_M3)).toBeLessThan(2 * std);
    const study = (await its.well.study())!;
    expect(Math.abs(used / study.days[0]!.usedM3! - 1)).toBeLessThan(0.1);
  });

  it('tells of a silence while it lasts, and no more once it is over', async () => {
    const its = house();
    await live(its, 240, 0, 5900);
    await live(its, 6, 5900, 6000);
    expect(its.well.now().silence).toBeNull();
    const lastS = LOG.timeS[5999]!;
    its.clock.s = lastS + 400;
    await its.well.advance();
    const { silence } = its.well.now();
    expect(silence).toMatchObject({ urgency: null, forS: 400 });
    expect(silence!.usualS).toBeLessThan(400);
    its.clock.s = lastS + 3600;
    await its.well.advance();
    expect(its.well.now().silence).toMatchObject({ urgency: 'note', forS: 3600 });
    const told = its.events.flatMap((event) => (event.kind === 'now' ? [event.now.silence] : []));
    expect(told.at(-1)).toMatchObject({ urgency: 'note' });
    const from = LOG.timeS.findIndex((at) => at > lastS + 3600);
    await live(its, 240, from, from + 480);
    expect(its.well.now().silence).toBeNull();
  });

  it('asks for faster readings while a test is near, and says where they stay slow', async () => {
    const its = house();
    const startS = LOG.timeS[6000]! + 600;
    its.well.ask({ what: 'fill', startS, stopS: startS + 300 });
    await live(its, 240, 0, 5000);
    expect(its.events.some(({ kind }) => kind === 'please')).toBe(false);
    await live(its, 60, 5000, 6000);
    const asked = its.events.flatMap((event) => (event.kind === 'please' ? [event.please] : []));
    expect(asked.length).toBeGreaterThan(0);
    expect(asked[0]!.intervalS).toBe(4);
    expect(its.well.now().test).toMatchObject({
      what: 'fill',
      needsS: 5,
      getsS: 20,
      fastEnough: false,
    });
  });
});

describe('a living well that starts again', () => {
  it('goes on from its last snapshot, not from the start', async () => {
    const its = house();
    await live(its);
    await its.well.close();
    const id = LOG.well.id;
    for (const { beforeS, madeBy } of await its.store.snapshots(id)) {
      const { state } = (await its.store.snapshotBefore(id, beforeS, madeBy))!;
      expect(new Pipeline(LOG.well, state).taken).toBe(await its.store.keptBefore(id, beforeS));
    }
    its.well = its.born();
    let read = 0;
    const { readings } = its.store;
    its.store.readings = async function* (...asked) {
      for await (const batch of readings.apply(its.store, asked)) {
        read += batch.count;
        yield batch;
      }
    };
    await its.well.advance();
    expect(read).toBeLessThan(LOG.timeS.length / 100);
    its.store.readings = readings;
    expect(JSON.stringify(await its.well.study())).toBe(await plainStudy(its.store));
  });

  it('reads all of it again where other code made the snapshots, or another file', async () => {
    const its = house();
    await live(its);
    await its.well.close();
    const before = await its.store.snapshots(LOG.well.id);
    its.well = its.born('two');
    await its.well.advance();
    await its.well.close();
    const after = await its.store.snapshots(LOG.well.id);
    expect(after.map(({ madeBy }) => madeBy)).not.toContain(before[0]!.madeBy);
    const edited = { ...LOG.well, people: 7 };
    const other = house(its.store, edited);
    other.clock.s = END_S + 10;
    await other.well.advance();
    expect(JSON.stringify(await other.well.study())).toBe(await plainStudy(its.store, edited));
  });

  it('passes over a snapshot that a kill left short of a reading', async () => {
    const its = house();
    await live(its, 240, 0, 6000);
    await its.well.close();
    // Kept, and killed before the analysis heard of it.
    const late = packsOf(LOG, 3000, 3001, 1)[0]!;
    await its.store.keep([{ ...late, device: 'another' }]);
    its.restart();
    await its.well.advance();
    expect(JSON.stringify(await its.well.study())).toBe(await plainStudy(its.store));
  });

  it('goes on without snapshots and records where nothing can be written', async () => {
    const its = house();
    its.store.isFull = true;
    await live(its, 480);
    expect(JSON.stringify(await its.well.study())).toBe(await plainStudy(its.store));
    const says = its.events.flatMap((event) => (event.kind === 'trouble' ? [event.says] : []));
    expect(says).toContain('nothing more can be written');
    its.store.isFull = false;
    its.clock.s += 1000;
    await its.well.advance();
    await its.well.close();
    expect(await its.store.snapshots(LOG.well.id)).not.toEqual([]);
  });

  it('waits while its clock is behind the readings, and loses none of them', async () => {
    const its = house();
    const from = LOG.timeS[0]!;
    for (const pack of packsOf(LOG, 0, 6000, 1)) {
      its.clock.s = 86_400;
      await its.hand(pack);
    }
    await its.well.advance();
    expect(its.well.now()).toMatchObject({ at: null, lastReading: null, silence: null });
    its.clock.s = from + 2 * 86_400;
    await its.well.advance();
    expect(its.well.now().at).not.toBeNull();
    expect(JSON.stringify(await its.well.study())).toBe(await plainStudy(its.store));
  });

  it('takes up again where the store failed in the middle of a read', async () => {
    const its = house();
    await live(its, 240, 0, 4000);
    const { readings } = its.store;
    its.store.readings = async function* (...asked) {
      for await (const batch of readings.apply(its.store, asked)) {
        yield { ...batch, count: Math.ceil(batch.count / 2) };
        throw new Error('a page could not be read');
      }
    };
    for (const pack of packsOf(LOG, 4000, 8000, 1)) await its.hand(pack);
    its.clock.s = LOG.timeS[7999]! + 10;
    await expect(its.well.advance()).rejects.toThrow('a page could not be read');
    its.store.readings = readings;
    await live(its, 240, 8000, 9000);
    expect(JSON.stringify(await its.well.study())).toBe(await plainStudy(its.store));
  });
});
