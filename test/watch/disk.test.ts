import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { until } from './until.ts';
import { startWatch } from './watch-child.ts';

/** Of any file of the service, bytes. */
const MOST_BYTES = 400_000;

/** Limits the files of a running process; the system then fails its writes. */
const limit = (pid: number, bytes: number | 'unlimited') =>
  spawnSync('prlimit', ['--pid', `${pid}`, `--fsize=${bytes}:unlimited`]).status;

it('a service whose disk takes no more says so, keeps what it has, and goes on', async ({
  skip,
}) => {
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-watch-disk-'));
  const file = join(folder, 'ridge.toml');
  writeFileSync(file, 'name = "Ridge"\n');
  const args = ['watch', '--well', file, '--http', '0', '--mqtt', '0'];
  let service = await startWatch(args);
  try {
    if (limit(service.process.pid!, MOST_BYTES) !== 0)
      skip('expected prlimit to limit the size of files with, found none');
    let api = `http://127.0.0.1:${service.ports.http}/api/v1`;
    let [accepted, sent] = [0, 0];
    const post = async () => {
      const records = Array.from({ length: 500 }, (_, i) => ({
        n: 'pressure',
        u: 'Pa',
        v: 3e5 + sent * 500 + i + Math.PI,
        t: -86_000 + sent * 500 + i,
      }));
      sent += 1;
      const response = await fetch(`${api}/wells/ridge/readings`, {
        method: 'POST',
        headers: { 'content-type': 'application/senml+json' },
        body: JSON.stringify(records),
      });
      const body = (await response.json()) as { accepted?: number; detail?: string };
      accepted += body.accepted ?? 0;
      return { status: response.status, body };
    };
    let answer = await post();
    while (answer.status === 200 && sent < 100) answer = await post();
    expect(answer.status).toBe(503);
    expect(answer.body.detail).toMatch(/the store takes no readings \(disk-/);
    expect(accepted).toBeGreaterThan(500);
    const readiness = await fetch(`${api}/readiness`);
    expect(readiness.status).toBe(503);
    expect(await readiness.json()).toMatchObject({
      takesReadings: false,
      why: expect.stringContaining('the store takes no readings'),
    });
    expect(service.err()).toContain('the store takes no readings');
    const kept = async () =>
      ((await (await fetch(`${api}/wells`)).json()) as { wells: { readings: number }[] }).wells[0];
    expect(await kept()).toMatchObject({ readings: accepted });
    // Ready again by itself: nobody has to send first.
    const ready = () => until(async () => (await fetch(`${api}/readiness`)).status === 200);
    limit(service.process.pid!, 'unlimited');
    await ready();
    expect(service.err()).toContain('the store takes readings again');

    // Started anew on such a disk, it says so before anything is sent.
    await service.kill();
    const log = statSync(join(folder, 'wellwright.sqlite-wal')).size;
    service = await startWatch(args, ['prlimit', `--fsize=${log >> 1}:unlimited`]);
    api = `http://127.0.0.1:${service.ports.http}/api/v1`;
    const anew = await fetch(`${api}/readiness`);
    expect(anew.status).toBe(503);
    expect(await anew.json()).toMatchObject({
      takesReadings: false,
      why: expect.stringContaining('the store takes no readings (disk-'),
    });
    expect(service.err()).toContain('the store takes no readings (disk-');
    expect(await kept()).toMatchObject({ readings: accepted });

    limit(service.process.pid!, 'unlimited');
    await ready();
    await until(async () => (await post()).status === 200);
    expect(await kept()).toMatchObject({ readings: accepted });
    expect((await fetch(`${api}/readiness`)).status).toBe(200);
    expect(service.err()).toContain('the store takes readings again');
    expect(await service.stop()).toBe(0);
  } finally {
    await service.kill();
    rmSync(folder, { recursive: true });
  }
}, 60_000);
