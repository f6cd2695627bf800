import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { joined } from './joined.ts';

const TOML = '# by hand\nname = "Mill"\nid = "mill"\ntime_zone = "UTC"\n';
const SERVICE = { on: '2026-05-02T09:00:00Z', did: 'new tank', resets: ['tank'] };

let on: Awaited<ReturnType<typeof joined>>;
let file: string;
beforeAll(async () => {
  on = await joined([TOML]);
  file = join(on.folder, 'well-0.toml');
});
afterAll(() => on.close());

async function send(method: string, path: string, body: object) {
  const response = await fetch(`${on.api}/wells/mill/${path}`, {
    method,
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(body),
  });
  // biome-ignore lint/suspicious/noExplicitAny: as the service answers.
  return { status: response.status, body: (await response.json()) as any };
}
const read = async () => (await on.get('wells/mill/file-text')).body;
const add = (more: object) => send('POST', 'file-text/blocks', { by: 'Keeper', ...more });

describe('the well file over HTTP', () => {
  it('is given as it is written, with a hash', async () => {
    const text = await read();
    expect(text).toEqual({ text: TOML, hash: expect.stringMatching(/^[0-9a-f]{64}$/), issues: [] });
  });

  it('takes a service, which holds at once and stands in the journal', async () => {
    const { status, body } = await add({ table: 'service', values: SERVICE });
    expect(status).toBe(200);
    expect(body.text).toBe(readFileSync(file, 'utf8'));
    expect(body.text.startsWith(TOML)).toBe(true);
    expect((await on.get('wells/mill/file')).body.services).toMatchObject([{ did: 'new tank' }]);
    const [entry] = await on.service.book('mill')!.entries();
    expect(entry).toMatchObject({
      kind: 'service',
      act: { what: 'added', by: 'Keeper', table: 'service', values: SERVICE, to: body.hash },
    });
    const before = await on.service.book('mill')!.attachment(entry!.id, 0);
    expect(before).toEqual({ what: 'file-before', text: TOML });
  });

  it('refuses a block that cannot be, with all that is wrong in it', async () => {
    const before = readFileSync(file, 'utf8');
    const values = { start: '2026-05-01T10:00:00Z', stop: '2026-05-01T09:00:00Z', volume: '8' };
    const { status, body } = await add({ table: 'bucket_test', values });
    expect(status).toBe(422);
    expect(body).toMatchObject({ code: 'file-errors', status: 422 });
    expect(body.errors.map(({ code }: { code: string }) => code).sort()).toEqual([
      'missing-unit',
      'stop-before-start',
    ]);
    expect(readFileSync(file, 'utf8')).toBe(before);
  });

  it('refuses what is based on an earlier text', async () => {
    const { hash, text } = await read();
    const whole = (basedOn: string) =>
      send('PUT', 'file-text', { by: 'Keeper', basedOn, text: `${text}# more\n` });
    expect(await whole('0'.repeat(64))).toMatchObject({
      status: 409,
      body: { code: 'file-changed' },
    });
    expect((await whole(hash)).status).toBe(200);
    expect((await whole(hash)).body.code).toBe('file-changed');
    const late = await add({ table: 'drain_test', values: {}, basedOn: hash });
    expect(late.body.code).toBe('file-changed');
  });

  it('does not take the file of another well', async () => {
    const { hash } = await read();
    const text = TOML.replace('"mill"', '"barn"');
    const { status, body } = await send('PUT', 'file-text', { by: 'Keeper', basedOn: hash, text });
    expect(status).toBe(422);
    expect(body.errors).toMatchObject([{ code: 'bad-id', line: 3, key: 'id' }]);
  });

  it('notices another hand once, and keeps what stood there before', async () => {
    const { text } = await read();
    writeFileSync(file, `${text}[house]\npeople = 4\n`);
    const book = on.service.book('mill')!;
    expect(await book.noticed()).toBe(true);
    expect(await book.noticed()).toBe(false);
    expect((await on.get('wells/mill/file')).body.people).toBe(4);
    const last = (await book.entries()).at(-1)!;
    expect(last.act).toMatchObject({ what: 'edited', by: null });
    expect(await book.attachment(last.id, 0)).toEqual({ what: 'file-before', text });
    writeFileSync(file, `${text}[house]\npeople = "four"\n`);
    await expect(book.noticed()).rejects.toThrow(/house\.people: expected/);
    expect((await read()).issues).toMatchObject([{ key: 'house.people' }]);
    expect((await on.get('wells/mill/file')).body.people).toBe(4);
    writeFileSync(file, text);
    expect(await book.noticed()).toBe(true);
  });

  it('takes changes one after the other, none lost', async () => {
    const before = (await on.get('wells/mill/file')).body.services.length;
    const many = Array.from({ length: 5 }, (_, i) =>
      add({ table: 'service', values: { ...SERVICE, on: `2026-06-0${i + 1}` } }),
    );
    expect((await Promise.all(many)).map(({ status }) => status)).toEqual(Array(5).fill(200));
    expect((await on.get('wells/mill/file')).body.services.length).toBe(before + 5);
  });

  it('says what of a body is wrong, and bounds it', async () => {
    expect((await add({ table: 'tank', values: {} })).body.code).toBe('bad-request');
    expect((await add({ table: 'service', values: SERVICE, by: '' })).body.code).toBe(
      'bad-request',
    );
    const long = { ...SERVICE, did: 'x'.repeat(9000) };
    expect((await add({ table: 'service', values: long })).status).toBe(413);
    const deep = JSON.parse(`${'['.repeat(4000)}${']'.repeat(4000)}`);
    expect((await add({ table: 'service', values: { deep } })).body.code).toBe('file-errors');
  });

  it('says that there is no file any more', async () => {
    const text = readFileSync(file, 'utf8');
    rmSync(file);
    expect(await on.get('wells/mill/file-text')).toMatchObject({
      status: 409,
      body: { code: 'file-refuses' },
    });
    writeFileSync(file, text);
  });
});
