import { once } from 'node:events';
import { request } from 'node:http';
import { connect } from 'node:net';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { limitsOfServer } from '../../src/server/limits.ts';
import { joined } from './joined.ts';

/** As it goes over the line: nothing is tidied up before. */
const raw = (
  address: string,
  path: string,
  { method = 'GET', headers = {}, body = '' as string | Buffer, from = 1 } = {},
) =>
  new Promise<{ status: number; type: string; text: string }>((done, fail) => {
    // Linux has all of 127.0.0.0/8; elsewhere they all come from one address.
    const localAddress = `127.0.0.${process.platform === 'linux' ? from : 1}`;
    const way = { path, method, headers, localAddress, agent: false };
    const asked = request(address, way, (response) => {
      const pieces: Buffer[] = [];
      response.on('data', (piece: Buffer) => pieces.push(piece));
      response.on('end', () => {
        const text = Buffer.concat(pieces).toString();
        const type = String(response.headers['content-type']);
        done({ status: response.statusCode ?? 0, type, text });
      });
    });
    asked.on('error', fail).end(body);
  });

/** Ways out of a folder, into objects, and beyond what fits. */
const NAMES = [
  ...['..', '../..', '..%2f..%2fetc%2fpasswd', '%2e%2e%2f%2e%2e%2fpackage.json', '..%5c..%5c'],
  ...['%252e%252e%252f', 'ridge%00', 'ridge%2f..%2fbarn', 'ridge%0d%0ax-own:%201', 'ridge;x=1'],
  ...['__proto__', 'constructor', 'toString', 'hasOwnProperty', '%ff%fe', '%zz', 'x'.repeat(500)],
  ...['RIDGE', 'ridge%20', "ridge'%20or%201=1--", '%3cscript%3e', 'ridge/clock-back', '*', '+'],
];

describe('the service, asked by somebody who means no good', () => {
  let on: Awaited<ReturnType<typeof joined>>;
  let address: string;
  beforeAll(async () => {
    on = await joined(['name = "Ridge"\n']);
    address = on.api.replace('/api/v1', '');
    const reading = { n: 'pressure', u: 'Pa', t: Math.floor(Date.now() / 1000) - 60, v: 3e5 };
    await on.post('ridge', JSON.stringify([reading]));
    await on.service.wells.advance();
  });
  afterAll(() => on.close());

  it('no name of a well leads anywhere else, on any address', async () => {
    const { body } = await on.get('openapi.json');
    const ways = Object.entries(body.paths as Record<string, object>).flatMap(([path, of]) =>
      Object.keys(of).map((method) => [path, method.toUpperCase()] as const),
    );
    expect(ways.length).toBeGreaterThan(15);
    let asked = 0;
    for (const [path, method] of ways.filter(([path]) => path.includes('{well}'))) {
      for (const [k, name] of NAMES.entries()) {
        const to = path.replace('{well}', name).replace('{alarm}', 'alarm-1');
        const headers = { 'content-type': 'application/senml+json', 'content-length': '2' };
        const from = k + 2;
        const acts = method === 'POST' ? { method, headers, body: '[]', from } : { method, from };
        const { status, type, text } = await raw(address, to, acts);
        expect([400, 404, 415], `${method} ${to}: ${status} ${text}`).toContain(status);
        expect(type).toMatch(/problem\+json/);
        expect(text).not.toMatch(/root:|"dependencies"|x-own: 1\r/);
        asked++;
      }
    }
    expect(asked).toBeGreaterThan(300);
    for (const path of ['/../package.json', '/assets/../../package.json', '/assets/%2e%2e/x', '//'])
      expect((await raw(address, path)).status, path).toBe(404);
    expect(on.said.filter(({ level }) => level === 'trouble')).toEqual([]);
  });

  it('a body that grows without an end is let go before it has', async () => {
    const bomb = gzipSync(Buffer.alloc(100 * 1024 * 1024, ' '), { level: 9 });
    expect(bomb.length).toBeLessThan(262_144);
    const headers = { 'content-type': 'application/senml+json', 'content-encoding': 'gzip' };
    const before = process.memoryUsage();
    for (let i = 0; i < 10; i++) {
      const path = '/api/v1/wells/ridge/readings';
      const { status } = await raw(address, path, { method: 'POST', headers, body: bomb });
      expect(status).toBe(413);
    }
    const { external, arrayBuffers } = process.memoryUsage();
    expect(external + arrayBuffers - before.external - before.arrayBuffers).toBeLessThan(50e6);
    const twice = gzipSync(gzipSync('[]'));
    const path = '/api/v1/wells/ridge/readings';
    const { status, text } = await raw(address, path, { method: 'POST', headers, body: twice });
    expect([status, JSON.parse(text).code]).toEqual([400, 'unreadable']);
  });

  it('an act is JSON of so many bytes, not deep, of one line, with nothing more', async () => {
    const act = (body: string | Buffer, type = 'application/json') =>
      raw(address, '/api/v1/wells/ridge/service', {
        ...{ method: 'POST', body, headers: { 'content-type': type } },
      });
    const good = { by: 'Upstairs', did: 'new tank' };
    expect((await act(JSON.stringify(good))).status).toBe(200);
    const { askBytes, askDepth } = limitsOfServer();
    const deep = `{"by":${'['.repeat(askDepth)}${']'.repeat(askDepth)}}`;
    for (const [body, status, type] of [
      [JSON.stringify({ ...good, did: 'x'.repeat(askBytes) }), 413],
      [deep, 400],
      [Buffer.from('{"by":"\xff\xfe","did":"x"}', 'latin1'), 400],
      ['{"by":"a","did":"x","__proto__":{"admin":true}}', 400],
      ['{"by":"a","did":"x","constructor":{"prototype":{"admin":true}}}', 400],
      [JSON.stringify({ ...good, admin: true }), 400],
      [JSON.stringify({ ...good, by: 'a\r\nBcc: all@example.org' }), 400],
      [JSON.stringify({ ...good, did: 'x\0y' }), 400],
      [JSON.stringify({ ...good, hours: 1e308 }), 400],
      ['{"by":', 400],
      ['', 400],
      // What a form of another page can send without being asked first.
      ['by=a&did=b', 415, 'application/x-www-form-urlencoded'],
      [JSON.stringify(good), 415, 'text/plain'],
    ] as [string | Buffer, number, string?][]) {
      const answer = await act(body, type);
      expect(answer.status, String(body).slice(0, 60)).toBe(status);
    }
    expect('admin' in {}).toBe(false);
  });

  it('a name that is not its own is not answered, so no other page can borrow it', async () => {
    for (const [host, status] of [
      ['127.0.0.1:8080', 200],
      ['[::1]:8080', 200],
      ['localhost', 200],
      ['well-house', 200],
      ['Ridge.Local.:8080', 200],
      ['ridge.home.arpa', 200],
      ['elsewhere.example', 421],
      ['127.0.0.1.elsewhere.example:8080', 421],
      ['local.elsewhere.example', 421],
    ] as const) {
      const { status: found } = await raw(address, '/api/v1/wells', { headers: { host } });
      expect(found, host).toBe(status);
      const page = await raw(address, '/', { headers: { host } });
      expect(page.status, host).toBe(status);
    }
    const named = await joined(['name = "Ridge"\n'], { names: ['Well.example.org'] });
    const host = 'well.example.org';
    const { status } = await raw(named.api, '/api/v1/wells', { headers: { host } });
    expect(status).toBe(200);
    await named.close();
  });

  it('what is no HTTP, or two requests in one, ends the connection', async () => {
    const { port } = new URL(address);
    const say = async (text: string) => {
      const socket = connect(Number(port), '127.0.0.1').on('error', () => undefined);
      let heard = '';
      socket.on('data', (data) => {
        heard += data;
      });
      socket.write(text);
      await once(socket, 'close');
      return heard;
    };
    const both =
      'POST /api/v1/wells/ridge/readings HTTP/1.1\r\nhost: a\r\ncontent-length: 4\r\n' +
      'transfer-encoding: chunked\r\n\r\n0\r\n\r\nGET /api/v1/wells HTTP/1.1\r\nhost: a\r\n\r\n';
    for (const text of [
      'GET / HTTP/1.1\r\nhost: a\r\nhost : b\r\n\r\n',
      both,
      'x'.repeat(40_000),
      '\0'.repeat(100),
      'GET http://elsewhere.example/ HTTP/9.9\r\n\r\n',
    ])
      expect(await say(text), text.slice(0, 30)).toMatch(/^HTTP\/1\.1 4\d\d /);
    expect((await on.get('health')).status).toBe(200);
  });
});
