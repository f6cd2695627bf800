import { request } from 'node:http';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { joined } from './joined.ts';
import { until } from './until.ts';

const RIDGE = 'name = "Ridge"\n[tank]\nvolume = "86 gal"\nprecharge = "38 psi"\n';

/** Status, headers and bytes as they come over the line, nothing unpacked. */
const raw = (address: string, headers: Record<string, string> = {}) =>
  new Promise<{ status: number; headers: Record<string, unknown>; bytes: Buffer }>((done, fail) => {
    request(address, { headers }, (response) => {
      const pieces: Buffer[] = [];
      response.on('data', (piece: Buffer) => pieces.push(piece));
      response.on('end', () => {
        const { statusCode: status = 0 } = response;
        done({ status, headers: response.headers, bytes: Buffer.concat(pieces) });
      });
    })
      .on('error', fail)
      .end();
  });

describe('what the page is handed', () => {
  let on: Awaited<ReturnType<typeof joined>>;
  let address: string;
  beforeAll(async () => {
    on = await joined([RIDGE]);
    address = on.api.replace('/api/v1', '');
  });
  afterAll(() => on.close());

  it('the page at every address of a sheet, and nothing from elsewhere may run in it', async () => {
    const paths = ['/wells', '/wells/ridge', '/wells/ridge/runs', '/wells/ridge/condition'];
    for (const path of ['/', ...paths, ...paths.map((one) => `${one}/`)]) {
      const { status, headers, bytes } = await raw(address + path);
      expect(status, path).toBe(200);
      expect(headers['content-type']).toBe('text/html; charset=utf-8');
      expect(headers['content-security-policy']).toMatch(/default-src 'none'; script-src 'self'/);
      expect(headers['cache-control']).toBe('no-cache');
      expect(bytes.toString()).toContain('<div id="page">');
    }
    expect((await raw(`${address}/wells/ridge/cellar`)).status).toBe(404);
    expect((await raw(`${address}/../package.json`)).status).toBe(404);
  });
  it('its files packed, to be kept for good, and unchanged ones not again', async () => {
    const html = (await raw(address)).bytes.toString();
    const [, script = ''] = /src="(\/assets\/[^"]+\.js)"/.exec(html) ?? [];
    const plain = await raw(address + script);
    const packed = await raw(address + script, { 'accept-encoding': 'gzip, br' });
    expect(packed.headers['content-encoding']).toBe('br');
    expect(packed.bytes.length).toBeLessThan(plain.bytes.length / 2);
    expect(packed.headers['cache-control']).toContain('immutable');
    const etag = String(packed.headers.etag);
    const again = await raw(address + script, { 'if-none-match': etag });
    expect([again.status, again.bytes.length]).toEqual([304, 0]);
    const worker = await raw(`${address}/sw.js`);
    expect(worker.bytes.toString()).toContain(script);
    expect(worker.headers['cache-control']).toBe('no-cache');
  });
  it('long answers packed for whoever takes them so', async () => {
    const path = `${on.api}/openapi.json`;
    const plain = await raw(path);
    const packed = await raw(path, { 'accept-encoding': 'gzip' });
    expect(packed.headers['content-encoding']).toBe('gzip');
    expect(packed.bytes.length).toBeLessThan(plain.bytes.length / 3);
    expect(JSON.parse(plain.bytes.toString())).toEqual((await on.get('openapi.json')).body);
    const short = await raw(`${on.api}/health`, { 'accept-encoding': 'gzip' });
    expect(short.headers['content-encoding']).toBeUndefined();
  });
  it('the well file in SI, and the study without its lists', async () => {
    const { body: file } = await on.get('wells/ridge/file');
    expect(file).toMatchObject({ id: 'ridge', units: 'us', timeZone: 'UTC' });
    // 86 US gallons of 231 cubic inches.
    expect(file.equipment.tankVolumeM3.value).toBeCloseTo(86 * 231 * 0.0254 ** 3, 10);
    expect((await on.get('wells/ridge/outline')).body).toMatchObject({ code: 'no-readings' });
    const at = Date.now() / 1000 - 60;
    await on.post('ridge', JSON.stringify([{ n: 'pressure', u: 'Pa', t: at, v: 300_000 }]));
    const { body: outline } = await on.get('wells/ridge/outline');
    const { body: study } = await on.get('wells/ridge/study');
    const { runs, days, draws, findings, ...rest } = study;
    expect([runs, days, draws, findings].every(Array.isArray)).toBe(true);
    expect(outline).toEqual(rest);
  });
  it('a word every few seconds that the service is there', async () => {
    const end = new AbortController();
    const response = await fetch(`${on.api}/events`, { signal: end.signal });
    let text = '';
    const read = (async () => {
      for await (const piece of response.body!) text += Buffer.from(piece).toString();
    })().catch(() => undefined);
    await until(() => text.includes('event: here\ndata: {"kind":"here"}\n\n'));
    end.abort();
    await read;
  });
});
