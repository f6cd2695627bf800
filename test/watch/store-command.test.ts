import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, describe, expect, it, vi } from 'vitest';
import { store } from '../../src/cli/commands/store.ts';
import { studyLogs } from '../../src/cli/commands/study.ts';
import { takeStore } from '../../src/store/sqlite/in-use.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { packOf } from '../contract/reading-store.contract.ts';
import { allReadings } from '../store/all-readings.ts';
import { rehearsedLog } from '../support/rehearsed-log.ts';

const folder = mkdtempSync(join(tmpdir(), 'wellwright-store-command-'));
afterAll(() => rmSync(folder, { recursive: true }));
afterEach(() => vi.restoreAllMocks());

describe('store', () => {
  it('checks, backs up, restores and exports what study reads back to the same', async () => {
    const out = vi.spyOn(process.stdout, 'write').mockImplementation(() => true);
    const log = rehearsedLog({ letter: 'C', days: 1, seed: 61, restS: 60 });
    const readings = log.timeS.map(
      (t, i) => [t, log.channel[i]!, log.value[i]!] as [number, number, number],
    );
    const at = (name: string) => join(folder, name);
    const live = new SqliteStore(at('s.sqlite'));
    await live.keep([packOf(readings, { wellId: log.well.id })]);
    // The service has it open all the while.
    expect(await store(['check', at('s.sqlite')])).toBe(0);
    expect(await store(['backup', at('s.sqlite'), at('s.backup')])).toBe(0);
    expect(await store(['restore', at('s.backup'), at('r.sqlite')])).toBe(0);
    await live.close();
    const exported = ['export', at('r.sqlite'), '--well', log.well.id];
    expect(await store([...exported, '--out', at('all.csv')])).toBe(0);
    expect(await store([...exported, '--form', 'senml', '--out', at('all.json')])).toBe(0);
    const studies = await Promise.all(
      ['all.csv', 'all.json'].map((name) =>
        studyLogs(log.well, [at(name)], { columns: {}, told: [] }),
      ),
    );
    expect(studies[0]!.runs.length).toBeGreaterThan(3);
    expect({ ...studies[1], told: [] }).toEqual({ ...studies[0], told: [] });
    expect(
      await store([...exported, '--from', '2026-04-06T12:00:00Z', '--out', at('half.csv')]),
    ).toBe(0);
    const half = await studyLogs(log.well, [at('half.csv')], { columns: {}, told: [] });
    expect(half.span.from >= '2026-04-06T12:00:00').toBe(true);
    expect(out.mock.calls.flat().join('')).toContain(`${readings.length} readings, checked`);
  });

  it('drops raw readings for good only when told to, and only where no service runs', async () => {
    const out = vi.spyOn(process.stdout, 'write').mockImplementation(() => true);
    const path = join(folder, 'old.sqlite');
    const T0 = 1_775_433_600;
    const days = Array.from({ length: 33 }, (_, day) => day);
    const live = new SqliteStore(path);
    await live.keep(days.map((day) => packOf([[T0 + day * 86_400, 0, day]])));
    await live.close();
    const raw = async () => {
      const opened = new SqliteStore(path, { readOnly: true });
      const [from] = [...(await allReadings(opened, 'ridge'))];
      const { beforeS, readings } = await opened.oldRaw('ridge', 30);
      await opened.close();
      return { fromS: from![0], beforeS, readings };
    };
    const all = { fromS: T0, beforeS: T0 + 3 * 86_400, readings: 3 };
    const drop = ['drop-raw', path, '--keep', '30'];
    expect(await store(drop)).toBe(0);
    const said = out.mock.calls.flat().join('');
    expect(said).toContain('ridge: raw readings: 3 of before 2026-04-09 would go for good');
    expect(said).toContain('Nothing was dropped.');
    expect(await raw()).toEqual(all);
    const service = takeStore(path);
    await expect(store([...drop, '--for-good'])).rejects.toThrow(/no other service has open/);
    service.leave();
    for (const few of ['29', '0', '-1', 'all', ''])
      await expect(store(['drop-raw', path, `--keep=${few}`])).rejects.toThrow(
        `--keep: expected days of raw readings to keep, 30 or more, found "${few}"`,
      );
    await expect(store([...drop, '--well', 'barn'])).rejects.toThrow(/expected one of ridge/);
    expect(await raw()).toEqual(all);
    expect(await store([...drop, '--for-good', '--well', 'ridge'])).toBe(0);
    expect(await raw()).toEqual({ ...all, fromS: all.beforeS, readings: 0 });
    expect(await store(['check', path])).toBe(0);
  });

  it('says what is wrong with what it was given, and touches nothing', async () => {
    const text = join(folder, 'text.sqlite');
    writeFileSync(text, 'hello\n'.repeat(100));
    const before = readdirSync(folder).toSorted();
    const cases: [string[], RegExp][] = [
      [[], /expected one of check, backup, restore, export, drop-raw, found none/],
      [['mend', text], /found "mend"/],
      [['check'], /expected 1 file names, found 0/],
      [['check', join(folder, 'none')], /none: expected a store, found no file/],
      [
        ['check', text],
        /text\.sqlite: expected a store of readings, found a file of something else/,
      ],
      [
        ['restore', join(folder, 'none'), join(folder, 'new')],
        /none: expected a backup, found no file/,
      ],
      [['restore', text, join(folder, 'new')], /expected a store of readings/],
    ];
    for (const [args, says] of cases)
      await expect(store(args), args.join(' ')).rejects.toThrow(says);
    expect(readdirSync(folder).toSorted()).toEqual(before);
  });
});
