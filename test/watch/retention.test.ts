import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { dropOldRaw } from '../../src/cli/watch/retention.ts';
import { allReadings } from '../store/all-readings.ts';
import { rehearsedLog, wellOf } from '../support/rehearsed-log.ts';
import { joined } from './joined.ts';

const LOG = rehearsedLog({ letter: 'C', days: 4, seed: 61, restS: 60 });
const ID = LOG.well.id;
const DAY_S = 86_400;
const FIRST_S = LOG.timeS[0]!;
/** A day of readings stays: the last of the four. */
const CUT_S = Math.floor(LOG.timeS.at(-1)! / DAY_S) * DAY_S;
const KINDS = ['runs', 'days', 'draws', 'findings'];

let on: Awaited<ReturnType<typeof joined>>;
beforeAll(async () => {
  const clock = { nowS: () => LOG.timeS.at(-1)! + 60 };
  on = await joined([LOG.toml], { clock, keepRawDays: 1 });
  for (let at = 0; at < LOG.timeS.length; at += 1000) {
    const records = LOG.timeS.slice(at, at + 1000).map((t, i) => ({
      ...{ n: LOG.channel[at + i] === 0 ? 'pressure' : 'current', t, v: LOG.value[at + i] },
      u: LOG.channel[at + i] === 0 ? 'Pa' : 'A',
    }));
    const body = gzipSync(JSON.stringify(records)) as unknown as string;
    await on.post(ID, body, { 'content-encoding': 'gzip' });
  }
  await on.service.wells.get(ID)!.study();
}, 20_000);
afterAll(() => on.close());

interface Told {
  start?: string;
  date?: string;
}

async function records(): Promise<Record<string, Told[]>> {
  const all = KINDS.map(async (kind) => [kind, (await on.get(`wells/${ID}/${kind}`)).body[kind]]);
  return Object.fromEntries(await Promise.all(all));
}

describe('raw readings that are kept for so many days', () => {
  it('go once they are analysed, said before; stretches of time and records stay', async () => {
    const stretches = `wells/${ID}/readings?channel=pressure&stretches=30`;
    const before = [await records(), (await on.get(stretches)).body];
    expect(on.said.map(({ says }) => says).join('\n')).toContain(
      'all but the last 1 days of raw readings are dropped for good, the first in an hour',
    );
    await dropOldRaw(on.service, 1);
    const [first] = await allReadings(on.service.store, ID);
    expect(first![0]).toBeGreaterThanOrEqual(CUT_S);
    expect(on.said.at(-1)?.says).toMatch(/^\d+ raw readings of before 2026-04-09 were dropped/);
    expect([await records(), (await on.get(stretches)).body]).toEqual(before);
    const told = on.said.length;
    await dropOldRaw(on.service, 1);
    expect(on.said.length).toBe(told);
  });

  it('leave the records of their time alone when an analysis begins anew', async () => {
    const before = await records();
    const { store } = on.service;
    const asked = vi.spyOn(store, 'readings');
    const edited = wellOf(LOG.toml.replace('name = "Case C"', 'name = "Case  C"'));
    await on.service.wells.put(edited).study();
    expect(asked.mock.calls[0]![1]).toBeLessThan(FIRST_S);
    const after = await records();
    const isOld = ({ start, date }: Told) => Date.parse(start ?? `${date}T12:00Z`) / 1000 < CUT_S;
    expect(before.runs!.filter(isOld).length).toBeGreaterThan(3);
    for (const kind of ['runs', 'days', 'draws'])
      expect(after[kind]!.filter(isOld), kind).toEqual(before[kind]!.filter(isOld));
    // Begun at the cut it has snapshots that count: the next goes on from one of them.
    asked.mockClear();
    await on.service.wells.close();
    on.service.wells.put(wellOf(LOG.toml));
    await on.service.wells.put(edited).study();
    expect(asked.mock.calls[0]![1]).toBeGreaterThan(CUT_S);
    asked.mockRestore();
  });
});
