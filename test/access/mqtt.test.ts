import { readFileSync } from 'node:fs';
import mqtt from 'mqtt';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readEntries, withKey, withoutName, writeEntries } from '../../src/access/register.ts';
import { has, run } from '../support/mosquitto.ts';
import { joined } from '../watch/joined.ts';
import { until } from '../watch/until.ts';
import * as t from './set-up.ts';

let on: Awaited<ReturnType<typeof joined>>;
let access: Awaited<ReturnType<typeof t.accessFolder>>;
beforeAll(async () => {
  access = await t.accessFolder();
  on = await joined(['name = "Ridge"\n', 'name = "Barn"\n'], {
    ...{ accessFolder: access.folder, plainMqtt: 0 },
    topics: [
      { filter: 'house/tee', wellId: 'ridge', channel: 'pressure', unit: 'Pa', atmospherePa: 1e5 },
    ],
  });
}, 30_000);
afterAll(async () => {
  await on.close();
  access.remove();
});

const kept = async (well: string): Promise<number> => {
  const all = await on.service.store.wells();
  return all.find(({ wellId }) => wellId === well)?.readings ?? 0;
};
/** A reading of a time of its own, so that none is a double. */
let at = 1;
const reading = () => `[{"n":"pressure","u":"Pa","v":3e5,"t":${-at++}}]`;

const secure = () => ['--cafile', access.ca, '-h', '127.0.0.1', '-p', `${on.service.ports.mqtt}`];
const plain = () => ['-h', '127.0.0.1', '-p', `${on.service.ports.plainMqtt}`];
const login = (name: string, key = '') => ['-u', name, '-P', key];
const publish = (way: string[], topic: string, message: string) =>
  run('mosquitto_pub', [...way, '-q', '1', '-t', topic, '-m', message]);
const subscribe = (way: string[], ...topics: string[]) =>
  run('mosquitto_sub', [...way, '-W', '2', '-C', '1', ...topics.flatMap((one) => ['-t', one])]);

describe.runIf(has('mosquitto_pub'))('the client of mosquitto', () => {
  it('hands in readings of its own well by its key, over TLS and over the plain port', async () => {
    const way = login('ridge/tee', access.keys['ridge/tee']);
    const before = await kept('ridge');
    expect(await publish([...secure(), ...way], 'wells/ridge/readings', reading())).toEqual({
      ...{ code: 0, out: '' },
    });
    expect((await publish([...plain(), ...way], 'wells/ridge/readings', reading())).code).toBe(0);
    expect((await publish([...secure(), ...way], 'house/tee', '310000')).code).toBe(0);
    expect(await kept('ridge')).toBe(before + 3);
  });

  it('is not let in without a name and its own key in force', async () => {
    const key = access.keys['ridge/tee'] ?? '';
    const before = await kept('ridge');
    const wrong = [
      [],
      login('ridge/tee', `${key.slice(0, -4)}AAAA`),
      login('ridge/tee', key.toUpperCase()),
      login('barn/tee', key),
      login('owner', t.OWNERS),
      login('ridge/tee', ''),
    ];
    for (const way of wrong) {
      const told = await publish([...secure(), ...way], 'wells/ridge/readings', reading());
      expect(told.out, way.join(' ')).toMatch(/not authori[sz]ed/i);
      expect(told.code).not.toBe(0);
    }
    expect(await kept('ridge')).toBe(before);
    expect(on.service.counters.of('key-refused')).toBe(wrong.length);
  });

  it('trusts nobody but the authority of the house', async () => {
    const way = login('ridge/tee', access.keys['ridge/tee']);
    const port = `${on.service.ports.mqtt}`;
    const system = ['--capath', '/etc/ssl/certs', '-h', '127.0.0.1', '-p', port];
    const told = await publish([...system, ...way], 'wells/ridge/readings', reading());
    expect(told.out).toMatch(/certificate verify failed|TLS error|protocol error/i);
    const speechless = ['-h', '127.0.0.1', '-p', port];
    expect((await publish([...speechless, ...way], 'wells/ridge/readings', 'x')).code).not.toBe(0);
  });

  it('writes no other well, whatever the topic, and a reading key writes none', async () => {
    const [ridge, barn] = [await kept('ridge'), await kept('barn')];
    const device = [...secure(), ...login('ridge/tee', access.keys['ridge/tee'])];
    const other = [...secure(), ...login('barn/tee', access.keys['barn/tee'])];
    const program = [...secure(), ...login('display', access.keys.display)];
    const topics = [
      'wells/barn/readings',
      'wells/ridge/results',
      'wells/ridge/please',
      'x',
      '$SYS/x',
    ];
    for (const topic of topics) expect((await publish(device, topic, reading())).code).not.toBe(0);
    expect((await publish(other, 'house/tee', '310000')).code).not.toBe(0);
    for (const topic of ['wells/ridge/readings', 'house/tee'])
      expect((await publish(program, topic, reading())).code).not.toBe(0);
    expect([await kept('ridge'), await kept('barn')]).toEqual([ridge, barn]);
    expect(on.service.counters.of('publish-refused')).toBeGreaterThanOrEqual(4);
  });

  it('hears what is said to its own well by the full name alone; a reader hears all', async () => {
    const device = [...secure(), ...login('ridge/tee', access.keys['ridge/tee'])];
    const refused = ['#', '+/+/+', 'wells/#', 'wells/+/results', 'wells/ridge/+', 'wells/ridge/#'];
    for (const topic of [...refused, 'wells/barn/results', 'wells/ridge/readings', '$SYS/#'])
      expect((await subscribe(device, topic)).out, topic).toMatch(/denied|rejected/i);
    await on.service.wells.advance();
    expect((await subscribe(device, 'wells/ridge/results')).out).toMatch(/^\[.*pressure/);
    const program = [...secure(), ...login('display', access.keys.display)];
    expect((await subscribe(program, 'wells/+/results')).out).toMatch(/^\[.*pressure/);
  });
});

const ended = (client: mqtt.MqttClient) =>
  new Promise<void>((resolve) => {
    if (client.connected) client.once('close', resolve);
    else resolve();
  });

describe('a connection', () => {
  const come = (name: string, more: object = {}) =>
    mqtt.connectAsync(`mqtts://127.0.0.1:${on.service.ports.mqtt}`, {
      ...{ ca: readFileSync(access.ca), reconnectPeriod: 0 },
      ...{ username: name, password: access.keys[name] ?? '', ...more },
    });

  it('is not taken over by another name with the same client id', async () => {
    const first = await come('ridge/tee', { clientId: 'tee' });
    const second = await come('barn/tee', { clientId: 'tee' });
    await first.publishAsync('wells/ridge/readings', reading(), { qos: 1 });
    const again = await come('ridge/tee', { clientId: 'tee' });
    await ended(first);
    expect([first.connected, second.connected, again.connected]).toEqual([false, true, true]);
    await Promise.all([second.endAsync(), again.endAsync()]);
  });

  it('has the bounds of one without TLS, and loses nothing of many messages at once', async () => {
    const before = await kept('ridge');
    const device = await come('ridge/tee');
    const many = Array.from({ length: 400 }, () =>
      device.publishAsync('wells/ridge/readings', reading(), { qos: 1 }),
    );
    await Promise.all(many);
    expect(await kept('ridge')).toBe(before + 400);
    const large = on.service.counters.of('refused:too-large');
    const closed = ended(device);
    device.publishAsync('wells/ridge/readings', 'x'.repeat(300_000)).catch(() => undefined);
    await closed;
    expect(on.service.counters.of('refused:too-large')).toBe(large + 1);
  });

  it('leaves no last will that it could not say itself', async () => {
    const before = [await kept('barn'), await kept('ridge')];
    const refused = on.service.counters.of('publish-refused');
    const will = { topic: 'wells/barn/readings', payload: Buffer.from(reading()), qos: 1 };
    const device = await come('ridge/tee', { will });
    device.stream.destroy();
    await until(() => on.service.counters.of('publish-refused') === refused + 1);
    expect([await kept('barn'), await kept('ridge')]).toEqual(before);
  });

  it('of a key that was replaced hears nothing more and ends; the new one goes on', async () => {
    const device = await come('barn/tee');
    let heard = 0;
    device.on('message', () => {
      heard += 1;
    });
    await device.subscribeAsync('wells/barn/refused');
    const bad = '[{"n":"pressure","u":"psi","v":55}]';
    await device.publishAsync('wells/barn/readings', bad, { qos: 1 });
    await until(() => heard === 1);
    const made = withKey(readEntries(access.folder), 'barn/tee', Date.now() / 1000);
    writeEntries(access.folder, made.entries);
    await until(() => on.service.access?.byKey(access.keys['barn/tee'] ?? '') === null);
    const closed = ended(device);
    const next = await come('barn/tee', { password: made.key });
    await next.publishAsync('wells/barn/readings', bad, { qos: 1 });
    await closed;
    expect(heard).toBe(1);
    await expect(come('barn/tee')).rejects.toThrow(/not authorized/i);
    await next.endAsync();
  });

  it('of who is shut out says nothing more and ends', async () => {
    const device = await come('ridge/tee');
    writeEntries(access.folder, withoutName(readEntries(access.folder), 'ridge/tee'));
    await until(() => on.service.access?.byKey(access.keys['ridge/tee'] ?? '') === null);
    const before = await kept('ridge');
    const closed = ended(device);
    device.publishAsync('wells/ridge/readings', reading(), { qos: 1 }).catch(() => undefined);
    await closed;
    expect(await kept('ridge')).toBe(before);
    await expect(come('ridge/tee')).rejects.toThrow(/not authorized/i);
  });
});
