import { execFile } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { promisify } from 'node:util';
import mqtt from 'mqtt';
import { afterAll, afterEach, describe, expect, it } from 'vitest';
import { watch } from '../../src/cli/commands/watch.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { has, openMosquitto } from '../support/mosquitto.ts';
import { until } from './until.ts';
import { type Child, startWatch } from './watch-child.ts';

const folder = mkdtempSync(join(tmpdir(), 'wellwright-command-'));
const ridge = join(folder, 'ridge.toml');
const barn = join(folder, 'barn.toml');
writeFileSync(ridge, 'name = "Ridge house"\n');
writeFileSync(barn, 'name = "Barn"\n');
afterAll(() => rmSync(folder, { recursive: true }));

const sh = async (line: string) => (await promisify(execFile)('sh', ['-c', line])).stdout;
const json = async <T>(address: string) => (await fetch(address)).json() as Promise<T>;

interface Listed {
  wells: { well: string; readings: number }[];
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
    const { wells } = await json<Listed>(`${api}/wells`);
    const each = 1 + (publishes.length > 0 ? 1 : 0);
    expect(wells.map((one) => [one.well, one.readings])).toEqual([
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

  it('goes by an edited well file, or the last one where that cannot be used', async () => {
    const file = join(folder, 'edited.toml');
    writeFileSync(file, 'name = "Edited"\n');
    const topic = ['--topic', 'tee=pressure [psia]'];
    child = await startWatch(['watch', '--well', file, ...PORTS, ...files('e'), ...topic]);
    const running = child;
    const api = `http://127.0.0.1:${child.ports.http}/api/v1`;
    const address = `${api}/wells/edited`;
    await fetch(`${address}/readings`, {
      method: 'POST',
      headers: { 'content-type': 'application/senml+json' },
      body: '[{"n":"pressure","u":"Pa","v":379000}]',
    });
    const text = async () => (await fetch(`${address}/study.txt`)).text();
    expect(await text()).toMatch(/^Edited \(edited\)/);
    writeFileSync(file, 'name = "Edited again"\nid = "edited"\naltitude = "1000 m"\n');
    await until(() => running.err().includes('has changed and is in force'));
    expect(await text()).toMatch(/^Edited again \(edited\)/);
    expect(await (await fetch(`${api}/wells`)).json()).toMatchObject({
      wells: [{ name: 'Edited again' }],
    });
    // US Standard Atmosphere 1976 (from memory): 89 876 Pa at 1000 m; 50 psi are 344 738 Pa.
    const device = await mqtt.connectAsync(`mqtt://127.0.0.1:${child.ports.mqtt}`);
    await device.publishAsync('tee', '50', { qos: 1 });
    await device.endAsync();
    const log = await (await fetch(`${address}/log.csv`)).text();
    const told = log.trim().split('\n').slice(1);
    const pressures = told.map((row) => Number(row.split(',')[1]));
    expect(Math.abs(pressures.at(-1)! - (344_738 - 89_876))).toBeLessThan(10);
    writeFileSync(file, 'name = 7\n');
    await until(() => running.err().includes('the file read before stays in force'));
    expect(running.err()).toMatch(/edited\.toml:1:\d+: /);
    expect(await text()).toMatch(/^Edited again \(edited\)/);
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
        (await json<Listed>(`${api}/wells`)).wells.every((one) => one.readings === 1),
      );
      const { stretches } = await json<{ stretches: { mean: number }[] }>(
        `${api}/wells/ridge-house/readings?channel=pressure&stretches=1`,
      );
      // 1 psi is 6894.757293168361 Pa (NIST SP 811).
      expect(stretches[0]!.mean).toBeCloseTo(50 * 6894.757293168361, 6);
      await until(() => new Set(heard).size === 2);
      await device.endAsync();
    } finally {
      await broker.close();
    }
  });

  it('says what it cannot use, all at once, before anything is opened', async () => {
    const cases: [string[], RegExp][] = [
      [[], /expected --well <well\.toml or folder>\nusage: /],
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
      [
        ['--well', ridge, '--host', '0.0.0.0'],
        /--host 0\.0\.0\.0: expected --access <folder> beside it, found none/,
      ],
      [['--well', ridge, '--plain-mqtt', '1883'], /--plain-mqtt: expected --access/],
      [['--well', ridge, '--store', folder], /--store: expected a file, found the folder/],
      [['--well', ridge, '--store', '/none/a'], /--store: expected the folder of .*found none/],
    ];
    for (const [args, says] of cases)
      await expect(watch(args), args.join(' ')).rejects.toThrow(says);
    expect(existsSync(join(folder, 'wellwright.sqlite'))).toBe(false);
  });
});
