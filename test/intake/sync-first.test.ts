import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { senml } from '../support/intake.ts';
import { has } from '../support/mosquitto.ts';
import { RawMqtt } from '../support/raw-mqtt.ts';

/** What the system was asked for, in order: a sync of a file, or an acknowledgement written. */
function eventsOf(trace: string): string[] {
  return trace.split('\n').flatMap((line) => {
    if (/\bf(?:data)?sync\(\d+\) += 0/.test(line)) return ['sync'];
    if (/\bf(?:data)?sync resumed>\) += 0/.test(line)) return ['sync'];
    if (/\b(?:write|sendto|sendmsg|writev)\(.*"@(?:\\2|", iov_len=1})/.test(line))
      return ['PUBACK'];
    if (/\b(?:write|sendto|sendmsg|writev)\(.*"HTTP\/1\.1 200/.test(line)) return ['200'];
    return [];
  });
}

if (has('strace')) {
  describe('on the wire', () => {
    it('each acknowledgement comes after a sync of the disk that no other one used', async () => {
      const folder = mkdtempSync(join(tmpdir(), 'sync-first-'));
      const trace = join(folder, 'trace');
      const calls = 'trace=fsync,fdatasync,write,writev,sendto,sendmsg';
      const service = new URL('../support/synced-service.ts', import.meta.url).pathname;
      const child = spawn(
        'strace',
        [
          ...['-f', '-s', '32', '-e', calls, '-o', trace],
          ...[process.execPath, service, join(folder, 'readings.db')],
        ],
        { stdio: ['pipe', 'pipe', 'inherit'] },
      );
      const [line] = await once(child.stdout, 'data');
      const ports = JSON.parse(String(line)) as { mqtt: number; http: number };
      const bt = Date.now() / 1000;
      const device = await RawMqtt.connected(ports.mqtt);
      for (let id = 1; id <= 10; id++) {
        device.publish('wells/barn/readings', senml(1, { boot: 1, seq: id, bt: bt - id }), { id });
        await device.until(() => device.of('puback').length === id);
        const answer = await fetch(`http://127.0.0.1:${ports.http}/api/v1/wells/barn/readings`, {
          method: 'POST',
          headers: { 'content-type': 'application/senml+json' },
          body: senml(1, { boot: 2, seq: id, bt: bt - 100 - id }),
        });
        expect(await answer.json()).toMatchObject({ accepted: 1 });
      }
      device.end();
      child.stdin.end();
      await once(child, 'exit');
      const events = eventsOf(readFileSync(trace, 'utf8'));
      rmSync(folder, { recursive: true });
      expect(events.filter((one) => one === 'PUBACK')).toHaveLength(10);
      expect(events.filter((one) => one === '200')).toHaveLength(10);
      // One pack at a time: so each acknowledgement must have a sync between it and the last.
      const answers = events.map((one, i) => ({ one, before: events[i - 1] }));
      for (const { one, before } of answers) if (one !== 'sync') expect(before).toBe('sync');
    });
  });
}

describe('the reading of a trace', () => {
  it('sees syncs and acknowledgements in any form of line', () => {
    const lines = [
      '77 fdatasync(21)                    = 0',
      '77 write(25, "@\\2\\0\\1", 4)          = 4',
      '78 fsync(21 <unfinished ...>',
      '78 <... fsync resumed>)             = 0',
      '77 writev(26, [{iov_base="HTTP/1.1 200 OK\\r\\n"..., iov_len=180}], 1) = 180',
      '77 writev(26, [{iov_base="@", iov_len=1}, {iov_base="\\2", iov_len=1}], 2) = 2',
      '77 fdatasync(21)                    = -1 EIO (Input/output error)',
      '77 write(25, "0\\2\\0\\1", 4)          = 4',
    ];
    expect(eventsOf(lines.join('\n'))).toEqual(['sync', 'PUBACK', 'sync', '200', 'PUBACK']);
  });
});
