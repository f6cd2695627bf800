import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { rehearse } from '../../../src/cli/commands/rehearse.ts';
import { readPack, type SenmlPack } from '../../../src/messages/senml/readings.ts';

type Answer = (at: {
  nth: number;
  pack: SenmlPack;
  request: IncomingMessage;
  response: ServerResponse;
}) => void;

let folder = '';
let server: Server;
let out = '';
let err = '';
/** Packs the service read, as often as they came. */
let packs: SenmlPack[] = [];
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'rehearse-'));
  out = '';
  err = '';
  packs = [];
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    out += text;
    return true;
  });
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
    err += text;
    return true;
  });
});
afterEach(async () => {
  vi.restoreAllMocks();
  vi.unstubAllEnvs();
  server.closeAllConnections();
  server.close();
  await rm(folder, { recursive: true });
});

const ok = (response: ServerResponse) => response.end('{"accepted":3,"duplicate":0,"refused":[]}');

/** A service on a real socket that reads each pack and then answers as the test wants it. */
async function serve(answer: Answer): Promise<string> {
  server = createServer((request, response) => {
    let body = '';
    request.on('data', (piece) => {
      body += piece;
    });
    request.on('end', () => {
      const pack = readPack(JSON.parse(body));
      packs.push(pack);
      answer({ nth: packs.length, pack, request, response });
    });
  });
  await new Promise<void>((resolve) => server.listen(0, resolve));
  const { port } = server.address() as AddressInfo;
  return `http://localhost:${port}/api/v1/wells/x/readings`;
}

const DAY =
  'days = 1\n[reporting]\nrest = "60 s"\nrunning = "10 s"\n' +
  'channels = ["mains", "air-temperature"]\n';
async function send(to: string): Promise<number> {
  await writeFile(join(folder, 'live.toml'), DAY);
  return rehearse([join(folder, 'live.toml'), '--to', to, '--faster', '200000']);
}
const seqs = () => packs.map((pack) => pack.seq);
const upTo = (n: number) => Array.from({ length: n }, (_, i) => i);

describe('a rehearsal sent by HTTP', () => {
  it('arrives whole and in order, with the channels asked for', async () => {
    const types = new Set<string | undefined>();
    const to = await serve(({ request, response }) => {
      types.add(request.headers['content-type']);
      ok(response);
    });
    expect(await send(to)).toBe(0);
    expect(packs.length).toBeGreaterThan(1400);
    expect(seqs()).toEqual(upTo(packs.length));
    expect([...types]).toEqual(['application/senml+json']);
    for (const pack of packs) {
      expect(pack.refused).toEqual([]);
      expect(pack.readings.map((r) => r.channel)).toEqual([0, 1, 4, 7]);
    }
    expect(out).toContain(`${packs.length} rows sent to ${to}, all acknowledged`);
  });

  it('sends again after 503 and after a connection that dropped without an answer', async () => {
    const to = await serve(({ nth, request, response }) => {
      if (nth === 10) response.writeHead(503, { 'retry-after': '0' }).end();
      else if (nth === 20 || nth === 21) request.socket.destroy();
      else ok(response);
    });
    expect(await send(to)).toBe(0);
    expect(seqs().slice(8, 11)).toEqual([8, 9, 9]);
    expect(seqs().slice(19, 23)).toEqual([18, 18, 18, 19]);
    expect([...new Set(seqs())]).toEqual(upTo(packs.length - 3));
    expect(out).toContain(`${packs.length - 3} rows sent`);
    expect(err).toMatch(/found 503; what is not acknowledged is kept and sent again\n/);
    expect(err).toMatch(/expected an answer, found .*; what is not acknowledged/);
    expect(err.match(/answers again\n/g)).toHaveLength(2);
  });

  it('tells a pack that is refused, whole or in part, goes on, and ends with 1', async () => {
    const to = await serve(({ nth, response }) => {
      if (nth === 5) response.writeHead(400).end('{"error":"nothing could be read"}');
      else if (nth === 6)
        response.end('{"accepted":1,"refused":[{"index":1,"code":"wrong-unit"}]}');
      else ok(response);
    });
    expect(await send(to)).toBe(1);
    expect(seqs()).toEqual(upTo(packs.length));
    expect(err).toMatch(/found it refused: 400 \{"error":"nothing could be read"\}\n/);
    expect(err).toMatch(/found it refused: \[\{"index":1,"code":"wrong-unit"\}\]\n/);
    expect(out).toContain(`${packs.length} rows sent to ${to}, 2 of them refused, see above`);
  });

  it('tells the first refusals and counts the rest', async () => {
    const to = await serve(({ response }) => response.writeHead(400).end('no'));
    expect(await send(to)).toBe(1);
    expect(err.match(/found it refused/g)).toHaveLength(5);
    expect(out).toContain(`${packs.length} of them refused`);
  });

  it('ends where it may not come in, comes in by the environment', async () => {
    const to = await serve(({ request, response }) => {
      const pair = Buffer.from('well:deep').toString('base64');
      if (request.headers.authorization === `Basic ${pair}`) ok(response);
      else response.writeHead(401).end('who are you?');
    });
    await expect(send(to)).rejects.toThrow(
      /expected 200, found 401 who are you\?\n0 rows acknowledged, \d+ not sent/,
    );
    vi.stubEnv('WELLWRIGHT_USER', 'well');
    vi.stubEnv('WELLWRIGHT_PASSWORD', 'deep');
    expect(await send(to)).toBe(0);
  });

  it('ends at once where nobody listens', async () => {
    const to = await serve(({ response }) => ok(response));
    server.close();
    await expect(send(to)).rejects.toThrow(/expected an answer, found .*ECONNREFUSED/);
  });
});
