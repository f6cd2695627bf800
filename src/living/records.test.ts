import { describe, expect, it } from 'vitest';
import { findingOf, runOf, studyOf } from '../../test/study-fixture.ts';
import { SmallStore } from '../../test/support/small-store.ts';
import type { StoredRecord } from '../ports/reading-store.ts';
import { isAlike, Records, recordsOf } from './records.ts';

const record = (atS: number, litres: number): StoredRecord => ({
  id: `at-${atS}`,
  atS,
  body: { litres, ended: 'cut-out' },
});

async function bring(records: Records, list: StoredRecord[]): Promise<string[]> {
  return (await records.bring('run', list)).map(({ id }) => id);
}

describe('records in the store', () => {
  const store = new SmallStore();
  const held = () => store.records('a', 'run', -1e12, 1e12);
  const fresh = () => new Records(store, 'a', async () => undefined);

  it('are brought up to date with what changed alone, across a restart too', async () => {
    const list = Array.from({ length: 2500 }, (_, i) => record(i, 30));
    const records = fresh();
    expect(await bring(records, list)).toHaveLength(2500);
    expect(await held()).toEqual(list);
    expect(await bring(records, [...list, record(2500, 31)])).toEqual(['at-2500']);
    expect(await bring(fresh(), [...list, record(2500, 31)])).toEqual([]);
    const moved = [...list.slice(0, 2400), record(2400, 40), ...list.slice(2401)];
    expect(await bring(fresh(), moved)).toEqual(['at-2400']);
    expect(await held()).toEqual(moved);
  });

  it('go where the study has them no more, or elsewhere', async () => {
    const records = fresh();
    await bring(records, [record(1, 1), record(5, 2), record(9, 3)]);
    await bring(records, [record(1, 1), record(9, 3)]);
    expect((await held()).map(({ id }) => id)).toEqual(['at-1', 'at-9']);
    const elsewhere = { ...record(9, 3), atS: 3 };
    expect(await bring(records, [record(1, 1), elsewhere])).toEqual(['at-9']);
    expect(await held()).toEqual([record(1, 1), elsewhere]);
    await bring(records, []);
    expect(await held()).toEqual([]);
  });

  it('are asked of the store again after a write that failed', async () => {
    const records = fresh();
    await bring(records, [record(1, 1)]);
    store.isFull = true;
    await expect(bring(records, [record(1, 1), record(2, 1)])).rejects.toThrow();
    store.isFull = false;
    expect(await bring(records, [record(1, 1), record(2, 1)])).toEqual(['at-2']);
    expect((await held()).map(({ id }) => id)).toEqual(['at-1', 'at-2']);
  });

  it('of before the first reading there is stay, and keep ids of their own', async () => {
    const finding = (atS: number, litres: number): StoredRecord => ({
      ...{ id: 'finding-1', atS },
      body: { id: 'finding-1', litres },
    });
    await bring(fresh(), [finding(20, 1), record(30, 1), record(90, 2), record(95, 2)]);
    const records = fresh();
    // A study that began at 50 knows no more; of the first day it may know a part.
    const told = [record(30, 0.1), finding(60, 3), record(90, 2)];
    expect((await records.bring('run', told, 50)).map(({ atS }) => atS)).toEqual([20, 60]);
    const old = { ...finding(20, 1), id: 'finding-1-of-20' };
    const expected = [
      { ...old, body: { id: old.id, litres: 1 } },
      ...[record(30, 1), finding(60, 3), record(90, 2)],
    ];
    expect(await held()).toEqual(expected);
    expect(await records.bring('run', told, 50)).toEqual([]);
    expect(await fresh().bring('run', told, 50)).toEqual([]);
    expect(await held()).toEqual(expected);
  });

  it('are alike within one per cent', () => {
    expect(isAlike({ a: 100, b: [null, 'x'] }, { a: 100.9, b: [null, 'x'] })).toBe(true);
    expect(isAlike({ a: 100 }, { a: 102 })).toBe(false);
    expect(isAlike({ a: null }, { a: 1 })).toBe(false);
    expect(isAlike({ a: 1 }, { a: 1, b: 1 })).toBe(false);
    expect(isAlike({ a: 'x' }, { a: 'y' })).toBe(false);
  });
});

describe('records of a study', () => {
  it('have ids of their own and stand in order of time', () => {
    const study = studyOf({ findings: [findingOf()], runs: [runOf(), runOf()] });
    const draw = study.draws[0]!;
    const of = recordsOf(
      { ...study, draws: [draw, draw] },
      {
        isOpen: () => true,
        zone: 'UTC',
      },
    );
    const ids = of.run.map(({ id }) => id);
    expect(ids).toEqual([study.runs[0]!.start, `${study.runs[0]!.start}-2`]);
    expect(of.draw.map(({ id }) => id)).toEqual([draw.start, `${draw.start}-2`]);
    expect(of.finding[0]).toMatchObject({ id: study.findings[0]!.id });
    expect(of.day[0]).toMatchObject({ id: study.days[0]!.date, body: { open: true } });
    for (const list of Object.values(of))
      for (const [i, { atS }] of list.entries())
        if (i > 0) expect(atS).toBeGreaterThanOrEqual(list[i - 1]!.atS);
  });
});
