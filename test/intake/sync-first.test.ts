import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { senml } from '../support/intake.ts';
import { has } from '../support/mosquitto.ts';
import { RawMqtt } from '../support/raw-mqtt.ts';
import { type SystemCall, systemCalls, TRACER, tracedBy } from '../support/system-calls.ts';
import { startWatch } from '../watch/watch-child.ts';

const AT_ONCE = 10;
const ONE_BY_ONE = 5;

/** A value of its own a pack; no whole number, so that the store's pages have it as a double. */
const pressureOf = (seq: number) => 380_000.25 + seq;

function storedAs(value: number): string {
  const bytes = Buffer.alloc(8);
  bytes.writeDoubleBE(value);
  return bytes.toString('hex');
}

/** MQTT 3.1.1 section 3.4: two bytes of head, two of the packet's id. */
const pubackOf = (id: number) => `4002${id.toString(16).padStart(4, '0')}`;
const OK = Buffer.from('HTTP/1.1 200').toString('hex');

/** What came of the pack with this value, in order, up to the call that acknowledged it. */
function wayOf(calls: readonly SystemCall[], value: number, acknowledged: SystemCall): string[] {
  const way: string[] = [];
  let file = '';
  for (const call of calls.slice(0, calls.indexOf(acknowledged))) {
    if (way.length === 0 && call.name === 'pwrite64' && call.hex.includes(storedAs(value))) {
      way.push('written');
      file = call.file;
    }
    if (way.length === 1 && /^f(data)?sync$/.test(call.name) && call.file === file)
      way.push('synced');
  }
  return way;
}

/** Sends packs over MQTT, some at once and some one by one, and over HTTP; acknowledged, all. */
async function sendAll({ http, mqtt }: { http: number; mqtt: number }): Promise<void> {
  const bt = Date.now() / 1000 - 1000;
  const packOf = (seq: number) => senml(pressureOf(seq), { boot: 1, seq, bt: bt + seq });
  const device = await RawMqtt.connected(mqtt);
  const publish = (id: number) => device.publish('wells/barn/readings', packOf(id), { id });
  for (let id = 1; id <= AT_ONCE; id++) publish(id);
  await device.until(() => device.acknowledged().length === AT_ONCE);
  for (let id = AT_ONCE + 1; id <= AT_ONCE + ONE_BY_ONE; id++) {
    publish(id);
    await device.until(() => device.acknowledged().includes(id));
  }
  device.end();
  for (let i = 1; i <= ONE_BY_ONE; i++) {
    const answer = await fetch(`http://127.0.0.1:${http}/api/v1/wells/barn/readings`, {
      method: 'POST',
      headers: { 'content-type': 'application/senml+json' },
      body: packOf(100 + i),
    });
    expect(await answer.json()).toMatchObject({ accepted: 1 });
  }
}

if (has('strace')) {
  describe('on the wire of the service', () => {
    it('each pack is written and synced before it is acknowledged', async () => {
      const folder = mkdtempSync(join(tmpdir(), 'sync-first-'));
      const [trace, well] = [join(folder, 'trace'), join(folder, 'barn.toml')];
      writeFileSync(well, 'name = "Barn"\n');
      const args = ['watch', '--well', well, '--http', '0', '--mqtt', '0'];
      const service = await startWatch(args, [...TRACER, trace]);
      try {
        await sendAll(service.ports);
        process.kill(tracedBy(service.process.pid), 'SIGTERM');
        await once(service.process, 'exit');
        const calls = systemCalls(readFileSync(trace, 'utf8'));
        const sent = calls.filter(({ name }) => /^(write|send)/.test(name));
        for (let id = 1; id <= AT_ONCE + ONE_BY_ONE; id++) {
          const puback = sent.find(({ hex }) => hex.includes(pubackOf(id)))!;
          expect(wayOf(calls, pressureOf(id), puback), `packet ${id}`).toEqual([
            'written',
            'synced',
          ]);
        }
        const answers = sent.filter(({ hex }) => hex.startsWith(OK));
        expect(answers).toHaveLength(ONE_BY_ONE);
        for (const [i, answer] of answers.entries())
          expect(wayOf(calls, pressureOf(101 + i), answer)).toEqual(['written', 'synced']);
      } finally {
        await service.kill();
        rmSync(folder, { recursive: true });
      }
    }, 20_000);
  });
}

describe('the reading of a trace', () => {
  const lines = [
    '77 pwrite64(21, "\\x01\\x02"..., 8192, 4096 <unfinished ...>',
    '78 fdatasync(9)                    = -1 EIO (Input/output error)',
    '77 <... pwrite64 resumed>)             = 8192',
    '77 fdatasync(21)                    = 0',
    '77 writev(26, [{iov_base="\\x40", iov_len=1}, {iov_base="\\x02", iov_len=1}], 2) = 2',
  ];

  it('has calls that went well, where they ended, with all that they wrote', () => {
    expect(systemCalls(lines.join('\n'))).toEqual([
      { name: 'pwrite64', file: '21', hex: '0102' },
      { name: 'fdatasync', file: '21', hex: '' },
      { name: 'writev', file: '26', hex: '4002' },
    ]);
  });

  it('tells an acknowledgement that came too soon', () => {
    const page = { name: 'pwrite64', file: '21', hex: `00${storedAs(pressureOf(1))}` };
    const sync = { name: 'fdatasync', file: '21', hex: '' };
    const other = { name: 'fdatasync', file: '22', hex: '' };
    const puback = { name: 'write', file: '26', hex: pubackOf(1) };
    const way = (...calls: SystemCall[]) => wayOf(calls, pressureOf(1), puback);
    expect(way(page, sync, puback)).toEqual(['written', 'synced']);
    expect(way(sync, page, other, puback, sync)).toEqual(['written']);
    expect(way(sync, puback, page, sync)).toEqual([]);
  });
});
