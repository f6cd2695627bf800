import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, describe, expect, it } from 'vitest';
import { LogError, type LogOptions, readLogs } from './read-logs.ts';

const folder = mkdtempSync(join(tmpdir(), 'logs-'));
afterAll(() => rmSync(folder, { recursive: true }));

const options: LogOptions = { timeZone: 'America/Denver', atmospherePa: 83_000, columns: {} };

function file(name: string, content: string | Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
}

async function read(paths: string[]) {
  const readings: number[][] = [];
  const report = await readLogs(paths, options, (batch) => {
    for (let i = 0; i < batch.count; i++) {
      readings.push([batch.timeS[i]!, batch.channel[i]!, batch.value[i]!]);
    }
  });
  const offered = report.offeredByChannel.reduce((a, b) => a + b, report.offeredUnknown);
  const aside = report.setAside.reduce((sum, { count }) => sum + count, 0);
  expect(report.used + aside).toBe(offered);
  expect(report.used).toBe(readings.length);
  return { readings, report };
}

function rows(fromS: number, count: number, everyS = 5): string {
  let text = 'time,pressure [Pa],current [A]\n';
  for (let i = 0; i < count; i++) text += `${fromS + i * everyS},${400_000 + i},0.0${i % 10}\n`;
  return text;
}

describe('readLogs', () => {
  it('gives the same for plain and gzipped text, over many pieces', async () => {
    const text = rows(1_775_433_600, 40_000);
    const plain = await read([file('plain.csv', text)]);
    const zipped = await read([file('zipped.csv.gz', gzipSync(text))]);
    expect(plain.readings).toHaveLength(80_000);
    expect(zipped.readings).toEqual(plain.readings);
    expect(plain.readings[79_999]).toEqual([1_775_433_600 + 39_999 * 5, 1, 0.09]);
  });

  it('reads gzip files put one behind the other', async () => {
    const second = rows(1_775_433_700, 20).slice('time,pressure [Pa],current [A]\n'.length);
    const joined = Buffer.concat([gzipSync(rows(1_775_433_600, 20)), gzipSync(second)]);
    const { readings, report } = await read([file('joined.csv.gz', joined)]);
    expect(readings).toHaveLength(80);
    expect(report.setAside).toEqual([]);
  });

  it('reads a gzip file cut short up to the cut, and tells it', async () => {
    const zipped = gzipSync(rows(1_775_433_600, 5000));
    const path = file('cut.csv.gz', zipped.subarray(0, zipped.length >> 1));
    const { readings, report } = await read([path]);
    expect(readings.length).toBeGreaterThan(2000);
    expect(report.setAside.map(({ reason }) => reason)).toEqual(['cut-line']);
    expect(report.told.join()).toContain('cut.csv.gz ends before its end');
  });

  it('reads a gzip file up to a broken place, and tells it', async () => {
    const zipped = gzipSync(rows(1_775_433_600, 60_000));
    zipped.fill(0xff, zipped.length >> 1, (zipped.length >> 1) + 64);
    const { report } = await read([file('broken.csv.gz', zipped)]);
    expect(report.told.join()).toMatch(/broken.csv.gz cannot be read beyond \d+ bytes/);
  });

  it('reads several files in the order of their first time, and tells it', async () => {
    const later = file('a.csv', rows(1_775_440_000, 30));
    const earlier = file('b.csv', rows(1_775_433_600, 30));
    const { readings, report } = await read([later, earlier]);
    const times = readings.map(([t]) => t);
    expect(times).toEqual([...times].sort((x, y) => x! - y!));
    expect(report.told[0]).toContain(`${earlier}, ${later}`);
  });

  it('merges files of the same time, one channel in each', async () => {
    let pressure = 'time,pressure [Pa]\n';
    let current = 'time;current [A]\n';
    for (let i = 0; i < 30_000; i++) {
      pressure += `${1_775_433_600 + i},${400_000 + i}\n`;
      if (i % 3 === 0) current += `${1_775_433_600.5 + i};0,0${i % 10}\n`;
    }
    const { readings } = await read([file('p.csv', pressure), file('c.csv', current)]);
    expect(readings).toHaveLength(40_000);
    const times = readings.map(([t]) => t!);
    expect(times.every((t, i) => i === 0 || times[i - 1]! <= t)).toBe(true);
  });

  it('reads SenML packs, one after another, with what is wrong set aside', async () => {
    const packs = `[{"bn":"wells/x/","bt":1775433600,"n":"pressure","u":"Pa","v":400000},
      {"n":"current","u":"mA","v":40,"t":1},{"n":"humidity","u":"%RH","v":40},
      {"n":"pressure","u":"psi","v":58},{"n":"pressure","u":"Pa","vs":"high"}]
      [{"n":"wells/x/pressure","u":"Pa","v":1,"t":5}]
      [{"bver":11,"bn":"x/","n":"pressure","u":"Pa","v":1,"bt":1775433600}]
      [{"n":"wells/x/air-temperature","u":"Cel","v":10,"t":1775433601}, {"n":"wells/x/cur`;
    const { readings, report } = await read([file('packs.json', packs)]);
    expect(readings).toEqual([
      [1775433600, 0, 400_000],
      [1775433601, 1, 0.04],
      [1775433601, 7, 283.15],
    ]);
    expect(Object.fromEntries(report.setAside.map((one) => [one.reason, one.firstAt]))).toEqual({
      'unreadable-value': ['packs.json:3', 'packs.json:5'],
      'unknown-channel': ['packs.json:2'],
      'cut-line': ['packs.json:6'],
      'wrong-unit': ['packs.json:3'],
      'no-anchor': ['packs.json:4'],
    });
  });

  it('tells of local time, once for all files', async () => {
    const one = file('l1.csv', 'time,pressure [psi]\n2026-07-01 12:00:00,50\n');
    const two = file('l2.csv', 'time,pressure [psi]\n2026-07-02 12:00:00,50\n');
    const { report } = await read([one, two]);
    expect(report.told.slice(1)).toEqual([
      'the time column is local time, taken in America/Denver',
    ]);
  });

  it('lists every problem of every file before it reads any', async () => {
    const bad = file('bad.csv', 'time,pressure\n');
    const missing = join(folder, 'missing.csv');
    const good = file('good.csv', rows(1_775_433_600, 3));
    const failed = await read([bad, missing, good, folder]).catch((error) => error);
    expect(failed).toBeInstanceOf(LogError);
    expect(failed.problems.map(({ code }: { code: string }) => code)).toEqual([
      'column-unit',
      'no-file',
      'not-readable',
    ]);
    expect(failed.message).toContain(`${missing}: expected a file, found none`);
    await expect(read([folder])).rejects.toThrow('expected a file, found a folder');
    await expect(read([file('none.csv', '')])).rejects.toThrow('found an empty file');
  });
});
