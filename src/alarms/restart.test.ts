import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findingOf, keptAlarms } from '../../test/support/alarm-wells.ts';
import type { AlarmEntry } from '../model/alarm.ts';
import { MemoryStore } from '../store/memory/store.ts';

const FAULTS = ['leak-burst', 'running-dry', 'fixture-running', 'pressure-wire-open'] as const;

/** What happens in a minute or more. */
const happening = fc.record({
  there: fc.subarray([...FAULTS]),
  lengthS: fc.constantFrom(60, 600, 4000),
  fails: fc.boolean(),
  act: fc.constantFrom('none', 'acknowledge', 'shelve', 'service', 'end'),
});

describe('a keeper that is started again', () => {
  it('goes on as if it had not been stopped, wherever that happens', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(happening, { minLength: 1, maxLength: 8 }),
        fc.integer({ min: 0, max: 7 }),
        async (happenings, stopAt) => {
          const results = [];
          for (const stops of [false, true]) {
            const on = await keptAlarms();
            for (const [i, one] of happenings.entries()) {
              if (stops && i === stopAt) await on.restart({ killed: true, awayS: 0 });
              on.phone().fails = one.fails ? { says: 'away', again: true } : null;
              act(on, one.act);
              await on.pass(
                one.lengthS,
                one.there.map((fault) => findingOf(fault)),
              );
            }
            const record = await on.store.records('ridge-house', 'alarm', 0, 1e12);
            results.push({ alarms: on.keeper.alarms, told: on.told(), record });
          }
          expect(results[1]).toEqual(results[0]);
        },
      ),
      { numRuns: 60 },
    );
  });

  it('has a record that only grows, each entry later than the one before', async () => {
    const on = await keptAlarms();
    let before: unknown[] = [];
    for (let round = 0; round < 4; round++) {
      await on.pass(1200, [findingOf('leak-burst')]);
      await on.restart({ killed: round % 2 === 0 });
      await on.pass(1200, []);
      const record = await on.store.records('ridge-house', 'alarm', 0, 1e12);
      expect(record.slice(0, before.length)).toEqual(before);
      expect(record.length).toBeGreaterThan(before.length);
      for (let i = 1; i < record.length; i++)
        expect(record[i]!.atS).toBeGreaterThan(record[i - 1]!.atS);
      before = record;
    }
  });

  it('tells again what it may not have told, under the same id', async () => {
    class Losing extends MemoryStore {
      loses = false;
      override async putRecords(...args: Parameters<MemoryStore['putRecords']>): Promise<void> {
        const [, kind, , records] = args;
        const lost = records.some(({ body }) => (body as AlarmEntry).what === 'delivery');
        if (this.loses && kind === 'alarm' && lost) throw new Error('killed');
        await super.putRecords(...args);
      }
    }
    const store = new Losing();
    const on = await keptAlarms({ store });
    store.loses = true;
    await on.step([findingOf('leak-burst')]);
    store.loses = false;
    await on.restart({ killed: true });
    await on.pass(60, [findingOf('leak-burst')]);
    expect(on.told()).toEqual(['raised leak-burst', 'raised leak-burst']);
    const [first, second] = on.phone().told;
    expect(second!.id).toBe(first!.id);
  });

  it('tells of what stands with a disk that takes nothing, and writes it down later', async () => {
    class Full extends MemoryStore {
      isFull = true;
      override async putRecords(...args: Parameters<MemoryStore['putRecords']>): Promise<void> {
        if (this.isFull) throw new Error('the disk is full');
        await super.putRecords(...args);
      }
    }
    const store = new Full();
    const on = await keptAlarms({ store });
    await on.step([findingOf('leak-burst')]);
    expect(on.told()).toEqual(['raised leak-burst']);
    expect(on.troubles.length).toBeGreaterThan(0);
    store.isFull = false;
    await on.pass(60, [findingOf('leak-burst')]);
    const record = await store.records('ridge-house', 'alarm', 0, 1e12);
    expect(record.map(({ body }) => (body as AlarmEntry).what)).toEqual(on.whats());
  });
});

function act(on: Awaited<ReturnType<typeof keptAlarms>>, what: string): void {
  const { keeper } = on;
  const open = keeper.alarms.find(({ state }) => state.includes('unacknowledged'));
  if (what === 'acknowledge' && open !== undefined) keeper.acknowledge(open.id, 'Upstairs');
  else if (what === 'shelve' && open !== undefined) keeper.shelve(open.id, 'Upstairs', 3600);
  else if (what === 'service') keeper.declareService('work', 'Upstairs', 3600);
  else if (what === 'end' && keeper.service !== null) keeper.endService('Upstairs');
}
