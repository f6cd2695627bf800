import { once } from 'node:events';
import { writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import mqtt from 'mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import { UsageError } from '../../src/cli/usage.ts';
import { Service } from '../../src/cli/watch/service.ts';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { joined } from './joined.ts';
import { until } from './until.ts';

const RIDGE = 'name = "Ridge"\n[switch]\ncut_in = "40 psi"\ncut_out = "60 psi"\n';
const BARN = 'name = "Barn"\n';
const open: { close(): Promise<unknown> }[] = [];
afterEach(async () => {
  for (const one of open.splice(0).reverse()) await one.close();
});

async function service(...asked: Parameters<typeof joined>) {
  const on = await joined(...asked);
  open.push(on);
  return on;
}

const reading = (psi: number, agoS = 0) =>
  JSON.stringify([
    { n: 'pressure', u: 'Pa', v: psi * 6894.757, ...(agoS > 0 && { t: -agoS }) },
    { n: 'current', u: 'A', v: 0.02, ...(agoS > 0 && { t: -agoS }) },
  ]);

/** Reads server-sent events as they come. */
async function listen(address: string, lastId?: string) {
  const end = new AbortController();
  const headers = lastId === undefined ? {} : { 'last-event-id': lastId };
  const response = await fetch(address, { headers, signal: end.signal });
  let text = '';
  const read = async () => {
    for await (const piece of response.body!) text += Buffer.from(piece).toString();
  };
  const ended = read().catch(() => undefined);
  const heard = () =>
    [...text.matchAll(/id: (\S+)\nevent: (\S+)\ndata: (.*)\n\n/g)].map(([, id, kind, data]) => ({
      id: id!,
      kind: kind!,
      data: JSON.parse(data!),
    }));
  return { response, heard, text: () => text, ended, end: () => end.abort() };
}

describe('results of a well', () => {
  it('stand retained on MQTT, and come as events with ids that tell what was missed', async () => {
    const on = await service([RIDGE, BARN]);
    const { api, service: its } = on;
    const all = await listen(`${api}/events`);
    const barn = await listen(`${api}/events?well=barn`);
    await its.wells.advance();
    for (let i = 0; i < 8; i++) await on.post('ridge', reading(50 + i, 400 - 20 * i));
    await its.wells.advance();
    await until(() => all.heard().filter(({ data }) => data.well === 'ridge').length >= 2);
    const last = all.heard().findLast(({ data }) => data.well === 'ridge')!;
    expect(last.data.now.pressurePaGauge).toBeGreaterThan(300_000);
    expect(barn.heard().every(({ data }) => data.well === 'barn')).toBe(true);

    const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${its.ports.mqtt}`);
    const heard: { topic: string; pack: { n: string; v: number }[]; retain: boolean }[] = [];
    client.on('message', (topic, payload, { retain }) => {
      heard.push({ topic, pack: JSON.parse(payload.toString()), retain });
    });
    await client.subscribeAsync('wells/+/results', { qos: 1 });
    await until(() => heard.length === 2);
    const ridge = heard.find(({ topic }) => topic === 'wells/ridge/results')!;
    expect(ridge.retain).toBe(true);
    expect(ridge.pack.find(({ n }) => n === 'pressure')?.v).toBe(last.data.now.pressurePaGauge);
    await client.endAsync();

    const [first] = all.heard();
    const again = await listen(`${api}/events`, first!.id);
    await until(() => again.heard().length === all.heard().length - 1);
    expect(again.heard().map(({ id }) => id)).toEqual(
      all
        .heard()
        .slice(1)
        .map(({ id }) => id),
    );
    const unknown = await listen(`${api}/events`, 'other-17');
    await until(() => unknown.text().includes('event: gap'));
    for (const one of [all, barn, again, unknown]) one.end();
  });

  it('go to so many listeners and no more; the others are told to come again', async () => {
    const on = await service([BARN]);
    // Of one address fewer than of all.
    const { listenersAnAddress } = on.service.limits;
    const listeners = await Promise.all(
      Array.from({ length: listenersAnAddress }, () => listen(`${on.api}/events`)),
    );
    const { status, body } = await on.get('events');
    expect(status).toBe(503);
    expect(body.code).toBe('busy');
    listeners[0]!.end();
    await until(() => on.service.feed.listening < listenersAnAddress);
    const another = await listen(`${on.api}/events`);
    expect(another.response.status).toBe(200);
    for (const one of [...listeners, another]) one.end();
    expect(on.service.feed.counts['listeners-turned-away']).toBe(1);
  });

  it('are not kept in memory for who listens and does not read', async () => {
    const on = await service([BARN]);
    const { connect } = await import('node:net');
    const socket = connect(on.service.ports.http, '127.0.0.1');
    await once(socket, 'connect');
    socket.write('GET /api/v1/events HTTP/1.1\r\nhost: localhost\r\n\r\n');
    await until(() => on.service.feed.listening === 1);
    socket.pause();
    const says = 'x'.repeat(100_000);
    for (let i = 0; i < 200 && on.service.feed.listening > 0; i++) {
      on.service.feed.tell({ kind: 'trouble', well: 'barn', says });
      await sleep(1);
    }
    expect(on.service.feed.listening).toBe(0);
    expect(on.service.feed.counts['listeners-cut-off']).toBe(1);
    socket.destroy();
  });
});

describe('the service', () => {
  it('starts again where it stood, also with a well file that says something else', async () => {
    const log = rehearsedLog({ letter: 'C', days: 1, seed: 61, restS: 60 });
    const on = await service([log.toml]);
    const file = join(on.folder, 'log.csv');
    const rows = log.timeS.map((t, i) =>
      log.channel[i] === 0 ? `${t},${log.value[i]},` : `${t},,${log.value[i]}`,
    );
    writeFileSync(file, `time,pressure [Pa],current [A]\n${rows.join('\n')}\n`);
    const [kept] = on.service.options.wells;
    await on.service.close();
    const options = { ...on.service.options, wells: [{ ...kept!, history: [file] }] };
    const first = await Service.open(options);
    await until(() => on.said.some(({ says }) => says.startsWith('history is in')));
    const before = await first.wells.get(log.well.id)!.study();
    expect(before!.runs.length).toBeGreaterThan(3);
    await first.close();
    // Handed in again, it changes nothing.
    const second = await Service.open(options);
    await until(() => on.said.filter(({ says }) => says.startsWith('history is in')).length === 2);
    expect(on.said.findLast(({ says }) => says.startsWith('history'))!.says).toContain(
      ': 0 readings',
    );
    expect(await second.wells.get(log.well.id)!.study()).toEqual(before);
    second.wells.put({ ...log.well, name: 'Another' });
    expect((await second.wells.get(log.well.id)!.study())!.runs).toEqual(before!.runs);
    await second.close();
  });

  it('has a store for itself alone', async () => {
    const on = await service([BARN]);
    await expect(Service.open(on.service.options)).rejects.toThrow(
      /wellwright\.sqlite: expected a store that no other service has open/,
    );
    expect((await on.get('health')).status).toBe(200);
  });

  it('says which port is taken and how to take another, or takes one', async () => {
    const other = createServer().listen(0, '127.0.0.1');
    await once(other, 'listening');
    const { port } = other.address() as { port: number };
    for (const at of [{ http: port }, { mqtt: port }]) {
      const [name] = Object.keys(at);
      const fails = joined([BARN], at);
      await expect(fails).rejects.toThrow(UsageError);
      await expect(joined([BARN], at)).rejects.toThrow(
        `127.0.0.1 port ${port}: expected to listen, found another program there; give --${name}`,
      );
      const on = await service([BARN], { ...at, orFree: true });
      expect(on.service.ports.http).not.toBe(port);
      expect(on.service.ports.mqtt).not.toBe(port);
      expect(on.said[0]!.says).toBe(`port ${port} is taken: another one is used`);
    }
    other.close();
  });
});
