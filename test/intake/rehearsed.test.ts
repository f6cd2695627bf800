import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { rehearse } from '../../src/cli/commands/rehearse.ts';
import { LogSource } from '../../src/ingest/file/log-source.ts';
import { HttpReadings } from '../../src/ingest/http/http-readings.ts';
import { StoreRefuses } from '../../src/ports/reading-store.ts';
import { httpFront } from '../support/http-front.ts';
import { intakeWith } from '../support/intake.ts';
import { MemoryReadings } from '../support/memory-readings.ts';
import { openOwnBroker } from '../support/own-broker.ts';

const SCENARIO = 'name = "day"\ndays = 1\n[reporting]\nrest = "100 s"\nrunning = "20 s"\n';
const folder = mkdtempSync(join(tmpdir(), 'rehearsed-'));
afterEach(() => vi.restoreAllMocks());

/** A log has amps to two digits and psi to two: half of the last digit, in SI. */
const ROUNDED = [0.005 * 6894.757, 0.005];

/** Readings by channel and time, without the device, whose name a log does not know. */
function plain(store: MemoryReadings) {
  const rows = store.all().map(({ channel, timeS, value }) => ({ channel, timeS, value }));
  return rows.toSorted((a, b) => a.channel - b.channel || a.timeS - b.timeS);
}

/** The greatest difference of values, in what rounding explains; NaN where readings differ. */
function furthest(a: MemoryReadings, b: MemoryReadings): number {
  const [ours, theirs] = [plain(a), plain(b)];
  if (ours.length !== theirs.length) return Number.NaN;
  return Math.max(
    ...ours.map(({ channel, timeS, value }, i) => {
      const other = theirs[i]!;
      const same = other.channel === channel && Math.abs(other.timeS - timeS) < 0.001;
      return same ? Math.abs(other.value - value) / ROUNDED[channel]! : Number.NaN;
    }),
  );
}

describe('a rehearsed day', () => {
  it('is the same as a log, over MQTT and HTTP, with a store that refuses at times', async () => {
    vi.spyOn(process.stdout, 'write').mockImplementation(() => true);
    vi.spyOn(process.stderr, 'write').mockImplementation(() => true);
    const path = join(folder, 'day.toml');
    writeFileSync(path, SCENARIO);
    await rehearse([path, '--out', folder]);

    const asLog = await intakeWith();
    const source = new LogSource({
      paths: [join(folder, 'day.csv.gz')],
      wellId: 'barn',
      device: 'log',
      log: { timeZone: 'UTC', atmospherePa: 101_325, columns: {} },
      clock: asLog.clock,
      counters: asLog.counters,
    });
    await source.open(asLog.inbox);
    const { report, accepted } = await source.done;
    expect(accepted).toBeGreaterThan(1600);
    expect(report.setAside).toEqual([]);

    const live = await openOwnBroker();
    live.clock.s += 2 * 86_400;
    let commits = 0;
    live.store.slow = async () => {
      live.store.refuses = ++commits % 4 === 0 ? new StoreRefuses('disk-error', 'now') : null;
    };
    await rehearse([path, '--to', `${live.url}/wells/barn/readings`, '--faster', '400000']);
    expect(live.counters.of('not-acknowledged')).toBeGreaterThan(0);
    expect(furthest(live.store, asLog.store)).toBeLessThan(1.01);
    await live.close();

    const store = new MemoryReadings();
    const posted = await intakeWith({}, { store });
    posted.clock.s += 2 * 86_400;
    const readings = new HttpReadings(posted.reader);
    await readings.open(posted.inbox);
    const front = await httpFront(readings);
    await rehearse([path, '--to', front.url('barn'), '--faster', '400000']);
    expect(plain(store)).toEqual(plain(live.store));
    await front.close();
    await posted.inbox.close();
    await asLog.inbox.close();
    rmSync(folder, { recursive: true });
  });
});
