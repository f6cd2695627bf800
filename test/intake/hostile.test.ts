import { once } from 'node:events';
import { connect, type Socket } from 'node:net';
import { gzipSync } from 'node:zlib';
import mqtt from 'mqtt';
import { describe, expect, it } from 'vitest';
import { HttpReadings } from '../../src/ingest/http/http-readings.ts';
import { StoreRefuses } from '../../src/ports/reading-store.ts';
import { httpFront } from '../support/http-front.ts';
import { intakeWith, NOW_S, senml, until } from '../support/intake.ts';
import { gate, ownBrokers } from '../support/own-broker.ts';
import { publishOf, RawMqtt } from '../support/raw-mqtt.ts';

const READINGS = 'wells/ridge-house/readings';
const { closers, own } = ownBrokers();

/** The intake still does its work. */
async function goesOn({ raw, store }: Awaited<ReturnType<typeof own>>): Promise<void> {
  const before = store.all().length;
  const device = await raw('well-behaved');
  device.publish(READINGS, senml(1, { boot: 99, seq: before }), { id: 2 });
  await device.until(() => device.of('puback').length === 1);
  expect(store.all().length).toBeGreaterThan(before);
}

describe('over MQTT', () => {
  it('a packet that says it is too long ends its connection at once', async () => {
    const opened = await own({ packBytes: 10_000 });
    const device = await opened.raw();
    // 256 MB, the most that MQTT can say (section 2.2.3).
    device.socket.write(Buffer.from([0x32, 0xff, 0xff, 0xff, 0x7f, 0, 1, 0x61]));
    await device.until(() => device.closed);
    const five = await opened.raw();
    five.socket.write(Buffer.from([0x32, 0xff, 0xff, 0xff, 0xff, 0x01]));
    await five.until(() => five.closed);
    const just = await opened.raw();
    just.publish(READINGS, 'x'.repeat(11_000));
    await just.until(() => just.closed);
    expect(opened.counters.of('refused:too-large')).toBe(3);
    expect(opened.store.packs).toEqual([]);
    await goesOn(opened);
  });

  it('a pack a little too large is refused, recorded and acknowledged', async () => {
    const { raw, store } = await own({ packBytes: 10_000 });
    const device = await raw();
    device.publish(READINGS, `[${' '.repeat(10_000)}]`, { id: 6 });
    await device.until(() => device.of('puback').length === 1);
    expect(store.packs[0]!.refused).toEqual([{ index: -1, code: 'too-large' }]);
  });

  it('half a packet, or none, holds a connection for a while and nothing else', async () => {
    const opened = await own({ connectWithinS: 0.2 });
    const silent = new RawMqtt(opened.broker.port);
    const half = await opened.raw('half', 1);
    half.socket.write(publishOf(READINGS, senml(1)).subarray(0, 20));
    await goesOn(opened);
    await silent.until(() => silent.closed);
    await half.until(() => half.closed);
    expect(opened.counters.of('connection-failed')).toBe(2);
    expect(opened.counters.of('idle-closed')).toBe(1);
    expect(opened.store.all()).toHaveLength(1);
  });

  it('a packet that comes byte by byte is a packet', async () => {
    const { raw, store } = await own();
    const device = await raw();
    device.socket.setNoDelay(true);
    for (const byte of publishOf(READINGS, senml(1), { id: 300 })) {
      device.socket.write(Buffer.from([byte]));
      await new Promise((resolve) => setImmediate(resolve));
    }
    await device.until(() => device.of('puback').length === 1);
    expect(device.acknowledged()).toEqual([300]);
    expect(store.all()).toHaveLength(1);
  });

  it('a backlog that does not wait for the CONNACK is taken as well', async () => {
    const { broker, store } = await own();
    const device = new RawMqtt(broker.port);
    closers.push(async () => device.end());
    await once(device.socket, 'connect');
    device.connect('hasty');
    for (let id = 1; id <= 200; id++) {
      device.publish(READINGS, senml(1, { boot: 1, seq: id }), { id });
    }
    await device.until(() => device.of('puback').length === 200);
    expect(store.packs).toHaveLength(200);
  });

  it('messages of QoS 2 that are begun and not completed are only so many', async () => {
    const { raw, store, counters } = await own({ qos2InFlight: 3 });
    const device = await raw();
    for (let id = 1; id <= 4; id++) {
      device.publish(READINGS, senml(1, { boot: 1, seq: id }), { id, qos: 2 });
    }
    await device.until(() => device.closed);
    expect(counters.of('connection-failed')).toBe(1);
    expect(store.packs.length).toBeGreaterThanOrEqual(3);
  });

  it('noise instead of MQTT ends the connection', async () => {
    const opened = await own();
    for (const noise of ['GET / HTTP/1.1\r\n\r\n', '\0\0\0\0\0', '\x10\x02\xff\xff\xff']) {
      const socket = connect(opened.broker.port, '127.0.0.1').on('error', () => undefined);
      socket.write(Buffer.from(noise, 'latin1'));
      await once(socket, 'close');
    }
    await goesOn(opened);
  });

  it('a flood is slowed down, acknowledged in order, and lets others through', async () => {
    const opened = await own({ packetsPerS: 400 });
    const device = await opened.raw();
    const began = performance.now();
    const many = Array.from({ length: 1000 }, (_, i) =>
      publishOf(READINGS, senml(1, { boot: 1, seq: i }), { id: i + 1 }),
    );
    device.socket.write(Buffer.concat(many));
    await goesOn(opened);
    expect(performance.now() - began).toBeLessThan(1000);
    await device.until(() => device.of('puback').length === 1000);
    expect(device.acknowledged()).toEqual(many.map((_, i) => i + 1));
    expect(performance.now() - began).toBeGreaterThan(500);
    expect(opened.counters.of('slowed-down')).toBeGreaterThan(0);
  });

  it('more than the inbox takes waits with its senders for room', async () => {
    const { raw, store, counters, inbox } = await own({ queuePacks: 10, commitPacks: 5 });
    const commits = gate(store);
    const devices = await Promise.all(Array.from({ length: 30 }, (_, i) => raw(`of-many-${i}`)));
    const ids = Array.from({ length: 10 }, (_, i) => i + 1);
    for (const [i, device] of devices.entries()) {
      for (const id of ids) device.publish(READINGS, senml(1, { boot: i, seq: id }), { id });
    }
    await until(() => commits.waiting.length === 1);
    await until(() => inbox.holds === 'full');
    expect(devices.flatMap((device) => device.acknowledged())).toEqual([]);
    commits.open();
    for (const device of devices) {
      await device.until(() => device.of('puback').length === 10);
      expect(device.acknowledged()).toEqual(ids);
    }
    expect(counters.of('held-full')).toBeGreaterThan(0);
    expect(store.packs).toHaveLength(300);
  });

  it('nothing more is read of a connection while a message of it is under way', async () => {
    const { raw, store } = await own();
    const commits = gate(store);
    const device = await raw();
    const large = `[${' '.repeat(200_000)}]`;
    for (let id = 1; id <= 200; id++) device.publish(READINGS, large, { id });
    await until(() => commits.waiting.length === 1);
    await new Promise((resolve) => setTimeout(resolve, 200));
    expect(commits.waiting).toHaveLength(1);
    // Of 40 MB all but what the system buffers is still with the sender.
    expect(device.socket.writableLength).toBeGreaterThan(20e6);
    commits.open();
    await device.until(() => device.of('puback').length === 200);
    expect(device.acknowledged()).toEqual(Array.from({ length: 200 }, (_, i) => i + 1));
    expect(store.commits.every((size) => size === 1)).toBe(true);
  });

  it('more connections than may be are turned away, and let in when there is room', async () => {
    const opened = await own({ connections: 3 });
    const three = [await opened.raw(), await opened.raw(), await opened.raw()];
    const fourth = new RawMqtt(opened.broker.port);
    await fourth.until(() => fourth.closed);
    expect(opened.counters.of('connections-turned-away')).toBe(1);
    three[0]!.end();
    await new Promise((resolve) => setTimeout(resolve, 50));
    await goesOn(opened);
  });

  it('one address cannot shut the others out', async () => {
    const { broker, counters, store } = await own({ connections: 6, connectionsAnAddress: 4 });
    const silent = Array.from({ length: 10 }, () => new RawMqtt(broker.port));
    closers.push(async () => {
      for (const one of silent) one.end();
    });
    await until(() => counters.of('connections-turned-away') === 6);
    // Linux has the whole of 127.0.0.0/8 on its loopback; elsewhere one address is all there is.
    if (process.platform !== 'linux') return;
    const other = await RawMqtt.connected(broker.port, 'other', { from: '127.0.0.2' });
    closers.push(async () => other.end());
    other.publish(READINGS, senml(1));
    await other.until(() => other.of('puback').length === 1);
    expect(store.all()).toHaveLength(1);
  });

  it('a topic that is not ours is not acknowledged, and ends the connection', async () => {
    const { raw, counters, said, store } = await own();
    const topics = ['wells/ridge-house/results', 'wells/ridge-house/please', 'other', '$SYS/x'];
    for (const topic of topics) {
      const device = await raw();
      device.publish(topic, senml(1));
      await device.until(() => device.closed);
      expect(device.of('puback')).toEqual([]);
    }
    expect(counters.of('topic-not-ours')).toBe(4);
    const device = await raw();
    device.publish('wells/nobody/readings', senml(1));
    await device.until(() => device.closed);
    expect(counters.of('unknown-well')).toBe(1);
    expect(said[0]).toMatch(/expected a topic that is known here, found "wells\/ridge-house\/res/);
    expect(store.packs).toEqual([]);
  });

  it('more subscriptions than may be are refused one by one', async () => {
    const { raw, counters } = await own({ subscriptions: 2 });
    const listener = await raw();
    for (const topic of ['a', 'b', 'c']) {
      listener.subscribe(topic);
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
    await listener.until(() => listener.of('suback').length === 3);
    expect(listener.of('suback').map(({ body }) => body[2])).toEqual([0, 0, 128]);
    expect(counters.of('subscription-refused')).toBe(1);
  });

  it('who listens and does not read is cut off, and holds nobody up for long', async () => {
    const opened = await own({ drainS: 0.3 });
    const lazy = await opened.raw();
    lazy.subscribe('wells/#');
    await lazy.until(() => lazy.of('suback').length === 1);
    lazy.socket.pause();
    const device = await opened.raw();
    const large = `[${' '.repeat(200_000)}]`;
    for (let id = 1; id <= 60; id++) device.publish(READINGS, large, { id });
    await device.until(() => device.of('puback').length === 60);
    await until(() => opened.counters.of('connection-failed') === 1);
    await goesOn(opened);
  });

  it('only those come in who are let in, where someone is asked', async () => {
    const who = { role: 'device', name: 'well', well: 'ridge', holds: () => true } as const;
    const gate = { byKey: (key: string) => (key === 'deep' ? who : null) };
    const { url } = await own({}, { gate });
    const come = (more: object) => mqtt.connectAsync(url, { reconnectPeriod: 0, ...more });
    await expect(come({})).rejects.toThrow(/Not authorized/);
    await expect(come({ username: 'well', password: 'shallow' })).rejects.toThrow(/authorized/);
    await expect(come({ username: 'barn', password: 'deep' })).rejects.toThrow(/authorized/);
    await (await come({ username: 'well', password: 'deep' })).endAsync();
  });
});

describe('over HTTP', () => {
  const open = async (limits: Parameters<typeof intakeWith>[0] = {}) => {
    const intake = await intakeWith(limits);
    const readings = new HttpReadings(intake.reader);
    const front = await httpFront(readings);
    await readings.open(intake.inbox);
    closers.push(async () => {
      await front.close();
      await readings.close();
      await intake.inbox.close();
    });
    const post = async (
      body: string | Buffer | ReadableStream,
      headers: Record<string, string> = {},
      well = 'barn',
    ) => {
      const answer = await fetch(front.url(well), {
        method: 'POST',
        headers: { 'content-type': 'application/senml+json', ...headers },
        body,
        ...(typeof body === 'object' ? { duplex: 'half' } : {}),
      } as RequestInit);
      const json = (await answer.json()) as Record<string, unknown>;
      const type = answer.headers.get('content-type');
      return { status: answer.status, json, type, answer };
    };
    return { ...intake, front, post };
  };

  it('answers what became of a pack', async () => {
    const { post, store } = await open();
    const pack = [...JSON.parse(senml(1, { boot: 1, seq: 1 })), { n: 'level', u: 'Pa', v: 1 }];
    const body = JSON.stringify(pack);
    const { status, json, type } = await post(body);
    expect([status, type]).toEqual([200, 'application/json']);
    expect(json).toEqual({
      accepted: 1,
      duplicate: 0,
      refused: [{ index: 3, code: 'wrong-unit' }],
    });
    expect((await post(body)).json).toMatchObject({ accepted: 0, duplicate: 1 });
    const zipped = await post(gzipSync(senml(2, { bt: NOW_S - 5 })), {
      'content-encoding': 'gzip',
    });
    expect(zipped.json).toMatchObject({ accepted: 1 });
    expect(store.all()).toHaveLength(2);
  });

  it.each([
    ['no JSON', {}, 400, 'unreadable'],
    ['['.repeat(5000), {}, 400, 'too-deep'],
    ['[]', { 'content-encoding': 'gzip' }, 400, 'not-gzip'],
    ['[]', { 'content-encoding': 'br' }, 415, 'content-coding'],
    ['[]', { 'content-type': 'text/plain' }, 415, 'media-type'],
    [' '.repeat(300_000), {}, 413, 'too-large'],
    [gzipSync(' '.repeat(50_000_000)), { 'content-encoding': 'gzip' }, 413, 'too-large'],
  ] as const)('says what is wrong: %#', async (body, headers, status, code) => {
    const { post, store } = await open();
    const found = await post(body, headers as Record<string, string>);
    expect(found.status).toBe(status);
    expect(found.type).toBe('application/problem+json');
    // RFC 9457 section 3.1: the members, and the status as in the answer itself.
    expect(found.json).toMatchObject({ type: 'about:blank', status, code });
    expect(typeof found.json.title).toBe('string');
    expect(typeof found.json.detail).toBe('string');
    expect(store.packs).toEqual([]);
  });

  it('knows its wells', async () => {
    const { post, counters } = await open();
    expect((await post('[]', {}, 'nobody')).status).toBe(404);
    expect(counters.of('unknown-well')).toBe(1);
  });

  it('bounds a body that does not say its length', async () => {
    const { post, counters } = await open({ packBytes: 1000 });
    const stream = new ReadableStream({
      pull: (controller) => controller.enqueue(new Uint8Array(400).fill(32)),
    });
    expect((await post(stream)).status).toBe(413);
    expect(counters.of('refused:too-large')).toBe(1);
  });

  it('asks to come again while it holds or the store refuses', async () => {
    const { post, store, inbox, counters } = await open({ queuePacks: 1, commitPacks: 1 });
    const commits = gate(store);
    const first = post(senml(1, { boot: 1, seq: 1 }));
    await until(() => commits.waiting.length === 1);
    const second = post(senml(1, { boot: 1, seq: 2 }));
    await until(() => inbox.holds === 'full');
    const third = await post(senml(1, { boot: 1, seq: 3 }));
    expect([third.status, third.answer.headers.get('retry-after')]).toEqual([503, '5']);
    expect(third.json).toMatchObject({ code: 'try-again', title: 'Service Unavailable' });
    expect(counters.of('held-full')).toBe(1);
    commits.open();
    expect([(await first).status, (await second).status]).toEqual([200, 200]);
    store.refuses = new StoreRefuses('disk-error', 'broken');
    expect((await post(senml(1, { boot: 1, seq: 4 }))).status).toBe(503);
    expect((await post(senml(1, { boot: 1, seq: 4 }))).json).toMatchObject({
      detail: 'Nothing can be kept just now: store-refuses',
    });
  });

  const begun = async (port: number): Promise<Socket> => {
    const socket = connect(port, '127.0.0.1').on('error', () => undefined);
    socket.write(
      'POST /api/v1/wells/barn/readings HTTP/1.1\r\nhost: x\r\ncontent-length: 100\r\n' +
        'content-type: application/senml+json\r\n\r\n[{"n":',
    );
    await once(socket, 'connect');
    return socket;
  };

  it('does not wait for ever for half a body, and lets others through meanwhile', async () => {
    const { front, post, counters, store } = await open({ bodyWithinS: 0.3 });
    const slow = await begun(front.port);
    const cut = await begun(front.port);
    cut.destroy();
    expect((await post(senml(1))).status).toBe(200);
    const [answer] = await once(slow, 'data');
    expect(String(answer)).toMatch(/^HTTP\/1.1 408 /);
    expect(counters.of('body-too-slow')).toBe(1);
    expect(store.all()).toHaveLength(1);
  });

  it('takes so many requests at once and no more', async () => {
    const { front, post } = await open({ requestsAtOnce: 2, bodyWithinS: 5 });
    const slow = [await begun(front.port), await begun(front.port)];
    await new Promise((resolve) => setTimeout(resolve, 50));
    expect((await post(senml(1))).status).toBe(503);
    for (const socket of slow) socket.destroy();
    await new Promise((resolve) => setTimeout(resolve, 50));
    expect((await post(senml(1))).status).toBe(200);
  });
});
