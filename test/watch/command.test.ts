import { execFile } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { promisify } from 'node:util';
import mqtt from 'mqtt';
import { afterAll, afterEach, describe, expect, it, vi } from 'vitest';
import { store } from '../../src/cli/commands/store.ts';
import { studyLogs } from '../../src/cli/commands/study.ts';
import { watch } from '../../src/cli/commands/watch.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { packOf } from '../contract/reading-store.contract.ts';
import { has, openMosquitto } from '../support/mosquitto.ts';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { type Child, spawnWatch, startWatch } from './watch-child.ts';

const folder = mkdtempSync(join(tmpdir(), 'wellwright-command-'));
const ridge = join(folder, 'ridge.toml');
const barn = join(folder, 'barn.toml');
writeFileSync(ridge, 'name = "Ridge house"\n');
writeFileSync(barn, 'name = "Barn"\n');
afterAll(() => rmSync(folder, { recursive: true }));
afterEach(() => vi.restoreAllMocks());

const sh = async (line: string) => (await promisify(execFile)('sh', ['-c', line])).stdout;
const json = async (address: string) => (await fetch(address)).json() as Promise<any>;

async function until(holds: () => boolean | Promise<boolean>): Promise<void> {
  for (let tries = 0; tries < 400; tries++) {
    if (await holds()) return;
    await sleep(20);
  }
  throw new Error(`still waiting for ${holds}`);
}

let child: Child | null = null;
afterEach(async () => {
  await child?.kill();
  child = null;
});
const PORTS = ['--http', '0', '--mqtt', '0'];
const files = (name: string) => ['--store', join(folder, `${name}.sqlite`)];

describe('watch', () => {
  it('prints for each well where to send readings, and its lines work as they stand', async () => {
    child = await startWatch(['watch', '--well', ridge, '--well', barn, ...PORTS, ...files('a')]);
    const lines = child.out().split('\n');
    const shown = (program: string) =>
      lines.flatMap((line) =>
        line.includes(` ${program} `) ? [line.replace(/^ *try it */, '')] : [],
      );
    expect(shown('curl')).toHaveLength(2);
    expect(shown('mosquitto_pub')).toHaveLength(2);
    for (const line of shown('curl'))
      expect(JSON.parse(await sh(line))).toEqual({ accepted: 1, duplicate: 0, refused: [] });
    const publishes = has('mosquitto_pub') ? shown('mosquitto_pub') : [];
    for (const line of publishes) await sh(line);
    const api = `http://127.0.0.1:${child.ports.http}/api/v1`;
    const { wells } = await json(`${api}/wells`);
    const each = 1 + (publishes.length > 0 ? 1 : 0);
    expect(wells.map((one: any) => [one.well, one.readings])).toEqual([
      ['ridge-house', each],
      ['barn', each],
    ]);
    for (const line of lines.filter((one) => one.includes('  look ')))
      expect((await fetch(line.trim().split(/ +/)[1]!)).status).toBe(200);
    expect(child.out()).not.toContain('Caution');
    for (const line of child.err().trim().split('\n'))
      expect(JSON.parse(line)).toMatchObject({ at: expect.any(String), says: expect.any(String) });
  });

  it('stops when told to, with all that was acknowledged, while a device sends on', async () => {
    const file = join(folder, 'b.sqlite');
    child = await startWatch(['watch', '--well', ridge, ...PORTS, '--store', file]);
    const device = mqtt.connect(`mqtt://127.0.0.1:${child.ports.mqtt}`, { reconnectPeriod: 0 });
    let [acknowledged, stopping] = [0, false];
    const sending = (async () => {
      for (let seq = 0; !stopping; seq++) {
        const sent = device.publishAsync(
          'wells/ridge-house/readings',
          JSON.stringify([
            { n: 'pressure', u: 'Pa', v: 3e5 + seq },
            { n: 'boot', v: 1 },
            { n: 'seq', v: seq },
          ]),
          { qos: 1 },
        );
        sent.then(
          () => acknowledged++,
          () => undefined,
        );
        if (seq % 20 === 0) await Promise.race([sent.catch(() => undefined), sleep(200)]);
      }
    })();
    await until(() => acknowledged > 300);
    const began = performance.now();
    expect(await child.stop()).toBe(0);
    expect(performance.now() - began).toBeLessThan(10_000);
    stopping = true;
    await sending;
    device.end(true);
    const kept = new SqliteStore(file);
    const [well] = await kept.wells();
    expect(well!.readings).toBeGreaterThanOrEqual(acknowledged);
    await kept.close();
  });

  it('listens beyond this machine only when told, and says what that means', async () => {
    child = await startWatch([
      'watch',
      '--well',
      ridge,
      ...PORTS,
      ...files('c'),
      '--host',
      '0.0.0.0',
    ]);
    expect(child.out()).toContain('Caution: it listens beyond this machine');
    expect(child.out()).toContain(`http://localhost:${child.ports.http}/`);
  });

  it('takes from a broker that runs already, and from topics with one plain number', async () => {
    if (!has('mosquitto')) return;
    const broker = await openMosquitto();
    try {
      const topic = 'house/tee=ridge-house/pressure [psi]';
      child = await startWatch([
        ...['watch', '--well', ridge, '--well', barn, '--http', '0', ...files('d')],
        ...['--broker', broker.url, '--topic', topic],
      ]);
      expect(child.ports.mqtt).toBeNaN();
      expect(child.out()).toContain(`from ${broker.url}, topic wells/barn/readings`);
      const device = await mqtt.connectAsync(broker.url);
      const heard: string[] = [];
      device.on('message', (at) => heard.push(at));
      await device.subscribeAsync('wells/+/results', { qos: 1 });
      await device.publishAsync('house/tee', '50', { qos: 1 });
      await device.publishAsync('wells/barn/readings', '[{"n":"current","u":"A","v":8}]', {
        qos: 1,
      });
      const api = `http://127.0.0.1:${child.ports.http}/api/v1`;
      await until(async () =>
        (await json(`${api}/wells`)).wells.every((one: any) => one.readings === 1),
      );
      const { stretches } = await json(
        `${api}/wells/ridge-house/readings?channel=pressure&stretches=1`,
      );
      // 1 psi is 6894.757293168361 Pa (NIST SP 811).
      expect(stretches[0].mean).toBeCloseTo(50 * 6894.757293168361, 6);
      await until(() => new Set(heard).size === 2);
      await device.endAsync();
    } finally {
      await broker.close();
    }
  });

  it('says what it cannot use, all at once, before anything is opened', async () => {
    const cases: [string[], RegExp][] = [
      [[], /expected --well <well\.toml>\nusage: /],
      [['--well', 'none.toml'], /none\.toml: expected a well file, found ENOENT/],
      [
        ['--well', ridge, '--well', ridge],
        /expected an id of its own, found that of .*ridge-house/,
      ],
      [['--well', ridge, '--http', '99999'], /--http: expected a port .*, found "99999"/],
      [['--well', ridge, '--broker', 'http://x'], /--broker: expected mqtt:.*found "http:\/\/x"/],
      [['--well', ridge, '--broker', 'mqtt://a:b@x'], /no name or password/],
      [['--well', ridge, '--topic', 'tee'], /--topic: expected a topic with channel and unit/],
      [
        ['--well', ridge, '--topic', 'tee=x/pressure [psi]'],
        /--topic: expected one of the wells ridge-house, found "x"/,
      ],
      [
        ['--well', ridge, '--well', barn, '--history', 'log.csv'],
        /--history: expected one of the wells ridge-house, barn, found "none"/,
      ],
      [['--well', ridge, '--store', folder], /expected|found/],
    ];
    for (const [args, says] of cases)
      await expect(watch(args), args.join(' ')).rejects.toThrow(says);
    expect(existsSync(join(folder, 'wellwright.sqlite'))).toBe(false);
  });
});

describe('npm start', () => {
  it('has the demo well living within ten seconds, and leaves nothing behind', async () => {
    const began = performance.now();
    const { child: demo, written } = spawnWatch(['demo']);
    try {
      await until(() => /look .*\n/.test(written.out) && written.err.includes('HTTP port'));
      expect(performance.now() - began).toBeLessThan(10_000);
      const look = /look +(\S+)/.exec(written.out)![1]!;
      await until(
        async () => Date.now() - Date.parse((await json(look)).lastReading ?? 0) < 300_000,
      );
      const [, file = ''] = /kept in (.*)\n/.exec(written.out) ?? [];
      expect(existsSync(file)).toBe(true);
      demo.kill('SIGINT');
      await until(() => demo.exitCode !== null);
      expect(demo.exitCode).toBe(0);
      expect(existsSync(file)).toBe(false);
    } finally {
      demo.kill('SIGKILL');
    }
  });
});

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

  it('says what is wrong with what it was given, and touches nothing', async () => {
    const text = join(folder, 'text.sqlite');
    writeFileSync(text, 'hello\n'.repeat(100));
    const before = readdirSync(folder).toSorted();
    const cases: [string[], RegExp][] = [
      [[], /expected one of check, backup, restore, export, found none/],
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
