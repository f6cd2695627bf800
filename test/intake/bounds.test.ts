import { describe, expect, it } from 'vitest';
import { HttpReadings } from '../../src/ingest/http/http-readings.ts';
import { httpFront } from '../support/http-front.ts';
import { bytesOf, intakeWith, NOW_S, senml } from '../support/intake.ts';
import { ownBrokers } from '../support/own-broker.ts';
import { publishOf, RawMqtt } from '../support/raw-mqtt.ts';

const READINGS = 'wells/ridge-house/readings';
const { closers, own } = ownBrokers();

/** Readings of a device, so many in one pack. */
const packOf = (device: string, count: number, fromS = NOW_S) =>
  JSON.stringify(
    Array.from({ length: count }, (_, i) => ({
      ...{ bn: `${device}/`, n: 'pressure', u: 'Pa', t: fromS + i / 100, v: 3e5 },
    })),
  );

describe('topics that somebody made up', () => {
  it('are no way to a well: wildcards, levels, case, control, length', async () => {
    const { raw, store, counters, said } = await own();
    const topics = [
      ...['wells/+/readings', 'wells/#', '#', '+', '/', 'wells//readings', '$SYS/broker/clients'],
      ...['wells/../readings', '../wells/ridge-house/readings', 'wells/ridge-house/readings/..'],
      ...['WELLS/ridge-house/readings', 'wells/Ridge-House/readings', `${READINGS}/`],
      ...[`${READINGS}\0`, 'wells/ridge-house\0/readings', `${READINGS}\n{"level":"told"}`],
      ...['wells/__proto__/readings', 'wells/constructor/readings', `wells/${'x'.repeat(33)}/x`],
      'x'.repeat(60_000),
    ];
    for (const topic of topics) {
      const device = await raw();
      device.publish(topic, senml(1));
      await device.until(() => device.closed);
      expect(device.of('puback'), topic.slice(0, 40)).toEqual([]);
    }
    // Bytes that are no UTF-8 (MQTT 3.1.1, section 1.5.3).
    const bytes = publishOf(READINGS, senml(1), { id: 1 });
    bytes[bytes.indexOf('ridge') + 1] = 0xff;
    const device = await raw();
    device.socket.write(bytes);
    await device.until(() => device.closed);
    expect(store.packs).toEqual([]);
    expect(counters.of('topic-not-ours') + counters.of('unknown-well')).toBeGreaterThan(10);
    // What they made up stands in the log as text of so many characters, one line each.
    for (const line of said) {
      expect(line).not.toMatch(/\p{Cc}/u);
      expect(line.length).toBeLessThan(300);
    }
    const good = await raw();
    good.publish(READINGS, senml(1));
    await good.until(() => good.of('puback').length === 1);
  });

  it('on a mapped topic make no odd devices, and nothing of them is retained', async () => {
    const mapped = {
      wellId: 'ridge-house',
      channel: 'pressure',
      unit: 'Pa',
      atmospherePa: 101_325,
    };
    const opened = await own({ topicChars: 40 }, { plainTopics: [{ filter: 'h/+/p', ...mapped }] });
    for (const topic of ['h/a\0b/p', 'h/a\u0007/p', 'h/\ufffd/p', `h/${'x'.repeat(40)}/p`]) {
      const device = await opened.raw();
      device.publish(topic, '1');
      await device.until(() => device.closed);
    }
    expect(opened.store.packs).toEqual([]);
    const device = await opened.raw();
    for (let i = 0; i < 20; i++) {
      const bytes = publishOf(`h/${i}/p`, '300000', { id: i + 1 });
      bytes[0]! |= 1;
      device.socket.write(bytes);
    }
    await device.until(() => device.of('puback').length === 20);
    const listener = await opened.raw();
    listener.subscribe('h/#');
    await listener.until(() => listener.of('suback').length === 1);
    await new Promise((resolve) => setTimeout(resolve, 100));
    expect(listener.of('publish')).toEqual([]);
    expect(opened.store.all()).toHaveLength(20);
  });

  it('are not subscribed to: those of the broker, and those without an end', async () => {
    const { raw, counters } = await own({ topicChars: 40 });
    const listener = await raw();
    const topics = ['$SYS/#', '$share/a/b', `a/${'b'.repeat(40)}`, 'wells/+/results'];
    for (const topic of topics) listener.subscribe(topic);
    await listener.until(() => listener.of('suback').length === 4);
    expect(listener.of('suback').map(({ body }) => body[2])).toEqual([128, 128, 128, 0]);
    expect(counters.of('subscription-refused')).toBe(3);
  });

  it('and clients whose name has no end are not let in', async () => {
    const { broker, counters, raw } = await own({ clientIdChars: 30 });
    const client = new RawMqtt(broker.port);
    client.connect('c'.repeat(31));
    await client.until(() => client.closed);
    expect(counters.of('connection-failed')).toBe(1);
    expect((await raw('c'.repeat(30))).closed).toBe(false);
  });

  it('a last will is no way in either', async () => {
    const { broker, store, raw } = await own();
    const text = (word: string) => [word.length >> 8, word.length & 255, ...Buffer.from(word)];
    for (const topic of ['wells/ridge-house/results', '$SYS/x', 'wells/barn\0/readings']) {
      const client = new RawMqtt(broker.port);
      // MQTT 3.1.1, section 3.1: a clean session with a will that is retained.
      const body = [...text('MQTT'), 4, 0x26, 0, 60, ...text('w'), ...text(topic), ...text('1')];
      client.socket.write(Buffer.from([0x10, body.length, ...body]));
      await new Promise((resolve) => setTimeout(resolve, 30));
      client.end();
    }
    await new Promise((resolve) => setTimeout(resolve, 50));
    const listener = await raw();
    listener.subscribe('wells/#');
    await listener.until(() => listener.of('suback').length === 1);
    await new Promise((resolve) => setTimeout(resolve, 50));
    expect(listener.of('publish')).toEqual([]);
    expect(store.packs).toEqual([]);
  });
});

describe('SenML that somebody made up', () => {
  const HOSTILE: [string, string][] = [
    ['a key of every object', '[{"__proto__":{"v":1,"n":"pressure"},"constructor":{"x":1}}]'],
    ['names of every object', '[{"n":"constructor","v":1},{"n":"toString","u":"Pa","v":1}]'],
    ['a device of such a name', '[{"bn":"constructor/","n":"pressure","u":"Pa","v":300000}]'],
    ['numbers without an end', `[{"n":"pressure","u":"Pa","v":${'9'.repeat(100_000)}}]`],
    ['numbers beyond all', '[{"n":"pressure","u":"Pa","v":1e400},{"n":"pressure","bt":-1e400}]'],
    ['the largest number', '[{"n":"pressure","u":"Pa","v":1.7976931348623157e308,"bv":1e308}]'],
    ['times beyond all', '[{"bt":1e308,"n":"pressure","u":"Pa","t":1e308,"v":1}]'],
    ['a boot that is no number', '[{"n":"boot","v":1e300},{"n":"seq","v":-1},{"n":"seq","v":0.5}]'],
    ['an uptime beyond all', '[{"n":"uptime","u":"s","v":1e308},{"n":"boot","v":1}]'],
    ['text where numbers belong', '[{"n":"pressure","u":"Pa","v":"1"},{"n":1,"v":[]},{"bn":{}}]'],
    ['a formula as a name', '[{"bn":"=cmd()/","n":"pressure","u":"Pa","v":1}]'],
    ['no records', '[]'],
    ['no object', '[null,1,"x",[],[[]]]'],
    ['half a surrogate', '[{"bn":"\\ud800/","n":"pressure","u":"Pa","v":1}]'],
  ];

  it.each(HOSTILE)('%s: told, and nothing else', async (_, body) => {
    const { reader } = await intakeWith();
    const packs = reader.read('ridge-house', bytesOf(body));
    if (typeof packs === 'string') throw new Error(`expected packs, found ${packs}`);
    for (const { readings, device } of packs) {
      expect(device).toMatch(/^[A-Za-z0-9:./_-]*$/);
      for (let i = 0; i < readings.count; i++) {
        expect(Number.isFinite(readings.value[i])).toBe(true);
        expect(Math.abs(readings.timeS[i]! - NOW_S)).toBeLessThan(1e9);
      }
    }
    expect(Object.keys(Object.prototype)).toEqual([]);
    expect('v' in {}).toBe(false);
  });

  it('bytes that are no UTF-8 are of no use, over MQTT and HTTP', async () => {
    const { raw, store } = await own();
    const body = Buffer.from(senml(1));
    body[body.indexOf('mac')] = 0xc0;
    const device = await raw();
    device.publish(READINGS, body);
    await device.until(() => device.of('puback').length === 1);
    expect(store.packs[0]!.refused).toEqual([{ index: -1, code: 'unreadable' }]);
    const { reader } = await intakeWith();
    expect(reader.read('ridge-house', body)).toBe('unreadable');
  });

  it('JSON deeper than may be, however it is dressed', async () => {
    const { reader, counters } = await intakeWith({ jsonDepth: 3 });
    for (const deep of ['[[[[1]]]]', '[{"a":{"b":{"c":1}}}]', `${'['.repeat(200_000)}`])
      expect(reader.read('ridge-house', bytesOf(deep))).toBe('too-deep');
    expect(typeof reader.read('ridge-house', bytesOf('[{"n":"[[[[[["}]'))).toBe('object');
    expect(counters.of('refused:too-deep')).toBe(3);
  });

  it('names longer than may be, and readings of long ago', async () => {
    const { reader, counters } = await intakeWith({ nameChars: 20, oldestS: 1000 });
    reader.read('ridge-house', bytesOf(packOf('x'.repeat(20), 1)));
    reader.read('ridge-house', bytesOf(packOf('tee', 1, NOW_S - 1001)));
    expect(counters.of('refused:name-too-long')).toBe(1);
    expect(counters.of('refused:too-old')).toBe(1);
  });
});

describe('rates', () => {
  it('one device waits for its acknowledgement, others do not', async () => {
    // 50 seconds' worth may come at once.
    const { raw, counters } = await own({ readingsPerSADevice: 20 });
    const [fast, calm] = [await raw('fast'), await raw('calm')];
    fast.publish(READINGS, packOf('fast', 1010), { id: 1 });
    await fast.until(() => fast.of('puback').length === 1);
    const began = performance.now();
    fast.publish(READINGS, packOf('fast', 1, NOW_S + 100), { id: 2 });
    calm.publish(READINGS, packOf('calm', 1), { id: 1 });
    await calm.until(() => calm.of('puback').length === 1);
    expect(fast.of('puback')).toHaveLength(1);
    await fast.until(() => fast.of('puback').length === 2);
    expect(performance.now() - began).toBeGreaterThan(300);
    expect(counters.of('held-too-fast')).toBe(1);
  });

  it('and over HTTP is asked to come again', async () => {
    const { reader, inbox, counters } = await intakeWith({ readingsPerSADevice: 20 });
    const readings = new HttpReadings(reader);
    await readings.open(inbox);
    const front = await httpFront(readings);
    closers.push(front.close);
    const post = (body: string) =>
      fetch(front.url('ridge-house'), {
        method: 'POST',
        headers: { 'content-type': 'application/senml+json' },
        body,
      });
    expect((await post(packOf('fast', 1100))).status).toBe(200);
    const told = await post(packOf('fast', 1));
    expect([told.status, told.headers.get('retry-after')]).toEqual([503, '5']);
    expect((await post(packOf('calm', 1))).status).toBe(200);
    expect(counters.of('held-too-fast')).toBe(1);
  });

  it.runIf(process.platform === 'linux')(
    'one address waits with all its connections, another does not',
    async () => {
      const { broker, counters, store } = await own({ packetsPerSAnAddress: 50 });
      const open = (from: string) => RawMqtt.connected(broker.port, `of-${from}-${++n}`, { from });
      let n = 0;
      const loud = await Promise.all(Array.from({ length: 4 }, () => open('127.0.0.1')));
      const calm = await open('127.0.0.2');
      closers.push(async () => {
        for (const one of [...loud, calm]) one.end();
      });
      const began = performance.now();
      for (const [k, one] of loud.entries())
        one.socket.write(
          Buffer.concat(
            Array.from({ length: 100 }, (_, i) =>
              publishOf(READINGS, senml(1, { boot: k, seq: i }), { id: i + 1 }),
            ),
          ),
        );
      await new Promise((resolve) => setTimeout(resolve, 100));
      calm.publish(READINGS, senml(1, { boot: 9, seq: 1 }));
      await calm.until(() => calm.of('puback').length === 1);
      expect(store.packs.length).toBeLessThan(400);
      for (const one of loud) await one.until(() => one.of('puback').length === 100);
      expect(performance.now() - began).toBeGreaterThan(500);
      expect(counters.of('slowed-down')).toBeGreaterThan(0);
    },
  );
});
