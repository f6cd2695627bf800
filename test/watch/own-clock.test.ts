import { afterEach, expect, it } from 'vitest';
import { apartOf } from '../../src/ingest/inbox/clock-watch.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { joined } from './joined.ts';

const WELL = 'name = "Ridge"\n';
const READING = JSON.stringify([{ n: 'pressure', u: 'Pa', v: 379_000 }]);
const open: { close(): Promise<unknown> }[] = [];
afterEach(async () => {
  for (const one of open.splice(0).reverse()) await one.close();
});

async function on(...asked: Parameters<typeof joined>) {
  const its = await joined(...asked);
  open.push(its);
  return its;
}

it('a clock that stands before readings last came is not set, unless it is said so', async () => {
  const first = await on([WELL]);
  const nowS = Date.now() / 1000;
  await first.post('ridge', READING);
  await first.service.close();
  // What a clock an hour later would have written down.
  const { store: path } = first.service.options;
  const store = new SqliteStore(path);
  const [mark, ...none] = await store.records(apartOf('ridge'), 'note', -1e11, 1e11);
  expect(mark!.atS).toBeCloseTo(nowS, -1);
  expect(none).toEqual([]);
  await store.putRecords(apartOf('ridge'), 'note', -1e11, [{ ...mark!, atS: nowS + 3600 }]);
  await store.close();

  const second = await on([WELL], { store: path });
  expect(second.said[0]).toMatchObject({ level: 'trouble' });
  const until = new Date(Math.round((nowS + 3600) * 1000)).toISOString();
  expect(second.said[0]!.says).toContain(`no readings are taken until it has passed ${until}`);
  expect(await second.post('ridge', READING)).toMatchObject({
    status: 503,
    body: { code: 'try-again', detail: 'Nothing can be kept just now: clock-not-set' },
  });
  expect(await second.get('readiness')).toMatchObject({
    status: 503,
    body: { why: 'clock-not-set' },
  });
  expect((await second.get('wells/ridge/log.csv')).body).toContain('379');
  await second.service.close();

  for (const trustClock of [true, false]) {
    const next = await on([WELL], { store: path, trustClock });
    expect(await next.post('ridge', READING)).toMatchObject({ status: 200 });
    await next.service.close();
  }
});
