import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { type Intake, intakeWith, NOW_S } from '../../../test/support/intake.ts';
import { MemoryReadings } from '../../../test/support/memory-readings.ts';
import { LogSource } from './log-source.ts';
import { LogError } from './log-types.ts';

const folder = mkdtempSync(join(tmpdir(), 'log-source-'));
afterAll(() => rmSync(folder, { recursive: true }));

function file(name: string, text: string): string {
  writeFileSync(join(folder, name), text);
  return join(folder, name);
}

function rows(fromS: number, count: number): string {
  const lines = Array.from(
    { length: count },
    (_, i) => `${fromS + i},${300 + (i % 90)},0.0${i % 10}`,
  );
  return `time,pressure [kPa],current [A]\n${lines.join('\n')}\n`;
}

async function handIn(intake: Intake, paths: string[]) {
  const log = { timeZone: 'UTC', atmospherePa: 101_325, columns: {} };
  const { clock, counters } = intake;
  const source = new LogSource({ paths, wellId: 'barn', device: 'log', log, clock, counters });
  await source.open(intake.inbox);
  return source;
}

describe('logs handed in', () => {
  it('come in whole, however old and many, and once where they overlap or come again', async () => {
    const store = new MemoryReadings();
    const intake = await intakeWith({ queuePacks: 8 }, { store });
    const longAgoS = NOW_S - 5 * 365 * 86_400;
    const a = file('a.csv', rows(longAgoS, 50_000));
    const b = file('b.csv', rows(longAgoS + 40_000, 20_000));
    const taken = await (await handIn(intake, [a, b])).done;
    expect(taken).toMatchObject({ accepted: 120_000, duplicate: 20_000, earliestS: longAgoS });
    expect(taken.report.used).toBe(140_000);
    const times = store.all().map(({ timeS }) => timeS);
    expect([times.length, times[0], times.at(-1)]).toEqual([120_000, longAgoS, longAgoS + 59_999]);
    const again = await (await handIn(intake, [a])).done;
    expect(again).toMatchObject({ accepted: 0, duplicate: 100_000 });
    await intake.inbox.close();
  });

  it('that cannot be read say why, and end nothing else', async () => {
    const intake = await intakeWith();
    const source = await handIn(intake, [join(folder, 'none.csv')]);
    await expect(source.done).rejects.toThrow(LogError);
    await source.close();
    await intake.inbox.close();
  });

  it('are not told kept where the service stops before', async () => {
    const store = new MemoryReadings();
    const intake = await intakeWith({}, { store });
    let open = () => {};
    store.slow = () => new Promise<void>((resolve) => (open = resolve));
    const source = await handIn(intake, [file('c.csv', rows(NOW_S, 100_000))]);
    const told = expect(source.done).rejects.toThrow(/not kept whole/);
    await new Promise((resolve) => setTimeout(resolve, 100));
    const closing = source.close();
    store.slow = () => Promise.resolve();
    open();
    await Promise.all([closing, told]);
    expect(store.all().length).toBeLessThan(200_000);
    await intake.inbox.close();
  });
});
