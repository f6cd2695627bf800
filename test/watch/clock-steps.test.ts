import { describe, expect, it } from 'vitest';
import { Counters } from '../../src/ingest/counters.ts';
import { apartOf, ClockWatch } from '../../src/ingest/inbox/clock-watch.ts';
import { Keeper } from '../../src/ingest/inbox/keeper.ts';
import { limitsWith } from '../../src/ingest/limits.ts';
import type { LivingEvent } from '../../src/living/events.ts';
import { LivingWell } from '../../src/living/living-well.ts';
import type { Study } from '../../src/model/study.ts';
import type { WellNow } from '../../src/model/well-now.ts';
import { Pipeline } from '../../src/pipeline/pipeline.ts';
import { studyOf } from '../../src/pipeline/result.ts';
import type { Arrived } from '../../src/ports/reading-source.ts';
import { MemoryStore } from '../../src/store/memory/store.ts';
import { rehearsedLog } from '../support/rehearsed-log.ts';

const LOG = rehearsedLog({ letter: 'C', days: 2, seed: 61, restS: 20 });
const WELL = LOG.well.id;
/** Of the second day, 07:40: behind it lies an hour with three runs. */
const BACK_S = LOG.timeS[0]! + (24 + 7) * 3600 + 2400;
const PACK_S = 30;

/** The log as a device sends it whose clock is off by as much, in packs of half a minute. */
function packs(clockOffS: (trueS: number) => number): Arrived[] {
  const all: Arrived[] = [];
  for (let at = 0; at < LOG.timeS.length; ) {
    const endS = LOG.timeS[at]! + PACK_S;
    let to = at;
    while (to < LOG.timeS.length && LOG.timeS[to]! < endS) to++;
    all.push({
      ...{ wellId: WELL, device: 'd', boot: 1, seq: at, arrivedS: LOG.timeS[to - 1]! + 0.2 },
      readings: {
        count: to - at,
        timeS: Float64Array.from(LOG.timeS.slice(at, to), (s) => s + clockOffS(s)),
        channel: Uint8Array.from(LOG.channel.slice(at, to)),
        value: Float64Array.from(LOG.value.slice(at, to)),
      },
      ...{ refused: [], uptimeS: null, bootBeganS: null },
    });
    at = to;
  }
  return all;
}

/** The service's way of a reading, killed and started anew now and then. */
async function lived(all: Arrived[], how: { watched: boolean; startsAnew: number }) {
  const [store, counters, clock] = [
    new MemoryStore(),
    new Counters(),
    { s: 0, nowS: () => clock.s },
  ];
  const limits = limitsWith();
  const events: LivingEvent[] = [];
  const start = async () => {
    const watch = await ClockWatch.open({ store, counters, limits, wells: [WELL] });
    const clocks = { wrong: () => watch.wrong(WELL), told: () => watch.spells(WELL).map(String) };
    const ports = { store, clock, breathe: async () => undefined, clocks };
    const tell = (event: LivingEvent) => void events.push(event);
    const well = new LivingWell(LOG.well, { ...ports, tell }, { codeVersion: 'one' });
    const keeper = await Keeper.open({
      ...{ store, waiting: store, clock, counters, limits },
      ...(how.watched && { clocks: watch }),
      onKept: (pack, kept) => well.kept(pack, kept),
    });
    return { well, keeper };
  };
  let on = await start();
  for (const [i, pack] of all.entries()) {
    clock.s = pack.arrivedS;
    await on.keeper.keep([pack]);
    if (i % 40 === 0) await on.well.advance();
    if (how.startsAnew > 0 && i % how.startsAnew === 0) on = await start();
  }
  return { store, counters, events, well: on.well, study: (await on.well.study())! };
}

async function plainStudy(store: MemoryStore): Promise<Study> {
  const pipeline = new Pipeline(LOG.well);
  for await (const batch of store.readings(WELL, -1e11, 1e11)) pipeline.take(batch);
  pipeline.end();
  return studyOf(pipeline, { setAside: [], told: [] });
}

describe('the clock of a device is set back by an hour for 55 minutes', () => {
  const right = packs(() => 0);
  const back = packs((s) => (s >= BACK_S && s < BACK_S + 3300 ? -3600 : 0));

  it('without a watch the hour before is read twice over; with one it stands', async () => {
    const sound = await lived(right, { watched: true, startsAnew: 0 });
    const blind = await lived(back, { watched: false, startsAnew: 0 });
    const seen = await lived(back, { watched: true, startsAnew: 0 });
    const used = [sound, blind, seen].map(({ study }) => study.days[1]!.usedM3!);
    // Of the day the hour apart is missing, in which little was drawn.
    expect(used[2]! / used[0]!).toBeCloseTo(1, 1.2);
    expect(used[1]! / used[0]!).toBeLessThan(0.8);
    expect(seen.study.runs).toHaveLength(sound.study.runs.length);
  });

  it('and the living well says what study says of the readings that are its own', async () => {
    for (const startsAnew of [0, 7]) {
      const { store, study, counters, events, well } = await lived(back, {
        watched: true,
        startsAnew,
      });
      const { told: says, ...rest } = study;
      const { told: plainTold, ...plain } = await plainStudy(store);
      expect(JSON.stringify(rest)).toBe(JSON.stringify(plain));
      expect(says).toHaveLength(plainTold.length + 1);
      const apart = (await store.wells()).find(({ wellId }) => wellId === apartOf(WELL))!;
      const all = (await store.wells()).reduce((sum, { readings }) => sum + readings, 0);
      expect(all).toBe(LOG.timeS.length);
      expect(counters.of('clock-back')).toBe(apart.readings);
      const told = events.filter(({ kind }) => kind === 'now') as { now: WellNow }[];
      expect(told.some(({ now }) => now.clocks[0]?.behindS === 3600)).toBe(true);
      expect(well.now().clocks).toEqual([]);
    }
  });
});
