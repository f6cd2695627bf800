import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { WellBook } from '../../src/book/well-book.ts';
import { store } from '../../src/cli/commands/store.ts';
import { StoreRefuses } from '../../src/ports/reading-store.ts';
import { SERVER_LIMITS } from '../../src/server/limits.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { WellTextFile } from '../../src/store/well-text-file.ts';
import { ROOT } from '../support/source-scan.ts';
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
    expect((await on.get(`wells/mill/book/${entry!.id}/file-before`)).body).toBe(TOML);
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
    expect(await book.fileBefore(last.id)).toBe(text);
    writeFileSync(file, `${text}[house]\npeople = "four"\n`);
    await expect(book.noticed()).rejects.toThrow(/house\.people: expected/);
    expect((await read()).issues).toMatchObject([{ key: 'house.people' }]);
    expect((await on.get('wells/mill/file')).body.people).toBe(4);
    writeFileSync(file, text);
    expect(await book.noticed()).toBe(true);
  });

  it('takes the chain key by key, and refuses what cannot be with its place', async () => {
    const tell = (keys: object) => send('POST', 'file-text/sensing', { by: 'Keeper', keys });
    const before = (await read()).text;
    const { status, body } = await tell({ 'pressure.range': '150 psi', 'bus.speed': null });
    expect(status).toBe(200);
    expect(body.text).toBe(`${before}\n[sensing.pressure]\nrange = "150 psi"\n`);
    expect((await on.get('wells/mill/file')).body.sensing.pressure.range).toBe('150 psi');
    const wrong = await tell({ 'pressure.range': '150', 'pressure.rnage': '1 psi' });
    const line = body.text.split('\n').indexOf('range = "150 psi"') + 1;
    expect(wrong).toMatchObject({
      status: 422,
      body: {
        code: 'file-errors',
        errors: [
          { line, key: 'sensing.pressure.range', found: '"150"' },
          { line: line + 1, key: 'sensing.pressure.rnage' },
        ],
      },
    });
    expect((await tell({ pressure: '150 psi' })).status).toBe(400);
    expect((await read()).text).toBe(body.text);
    expect((await tell({ 'pressure.range': null })).body.text).not.toContain('150 psi');
  });

  it('gives a backup of all wells to take away, which is a whole store', async () => {
    const asked = (body: object) =>
      fetch(`${on.api}/backup`, {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify(body),
      });
    expect((await asked({})).status).toBe(400);
    const answer = await asked({ by: 'Keeper' });
    expect(answer.headers.get('content-type')).toBe('application/vnd.sqlite3');
    const copy = join(on.folder, 'taken.sqlite');
    writeFileSync(copy, new Uint8Array(await answer.arrayBuffer()));
    const taken = new SqliteStore(copy, { readOnly: true });
    const notes = await taken.records('mill', 'service', -1e11, 1e11);
    expect(notes.length).toBe(
      (await on.service.store.records('mill', 'service', -1e11, 1e11)).length,
    );
    expect(notes.length).toBeGreaterThan(0);
    await taken.close();
    await expect.poll(() => existsSync(join(on.folder, 'wellwright.sqlite.take-away'))).toBe(false);
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
    const long = { ...SERVICE, did: 'x'.repeat(SERVER_LIMITS.blockBytes) };
    expect((await add({ table: 'service', values: long })).status).toBe(413);
    const deep = JSON.parse(`${'['.repeat(4000)}${']'.repeat(4000)}`);
    const text = '# '.repeat(SERVER_LIMITS.fileBytes / 2);
    const whole = { by: 'Keeper', basedOn: '0'.repeat(64), text };
    expect((await send('PUT', 'file-text', whole)).status).toBe(413);
    // Too deep for a request already, or for a well file.
    expect([400, 422]).toContain((await add({ table: 'service', values: { deep } })).status);
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

describe('the journal over HTTP', () => {
  const photo = (name: string) => readFileSync(join(ROOT, 'test', 'photos', name));
  const note = (more: object) => send('POST', 'book', { by: 'Keeper', says: 'Muddy.', ...more });

  it('keeps a note with its photos, and nothing in them but the picture', async () => {
    const given = [photo('plain.jpg'), photo('lossy.webp')];
    expect(given[0]!.toString('latin1')).toContain('Told-Nobody');
    const photos = given.map((bytes) => bytes.toString('base64'));
    const { status, body } = await note({ on: '2026-05-03T10:00:00Z', photos });
    expect(status).toBe(200);
    expect(body.act).toMatchObject({ what: 'noted', by: 'Keeper', on: '2026-05-03T10:00:00Z' });
    const { entries } = (await on.get('wells/mill/book')).body;
    expect(entries.at(-1)).toEqual(body);
    for (const [i, type] of ['image/jpeg', 'image/webp'].entries()) {
      const answer = await fetch(`${on.api}/wells/mill/book/${body.id}/photos/${i}`);
      expect(answer.headers.get('content-type')).toBe(type);
      const policy = answer.headers.get('content-security-policy')?.split('; ');
      expect(policy).toEqual(["default-src 'none'", "frame-ancestors 'none'", 'sandbox']);
      const kept = Buffer.from(await answer.arrayBuffer());
      expect(kept.length).toBe(body.act.photos[i].bytes);
      expect(kept.toString('latin1')).not.toMatch(/Told-Nobody|GPS|xmp/);
      expect(body.act.photos[i]).toMatchObject({ widthPx: 24, heightPx: 16 });
    }
  });

  it('refuses what is no photo, more than it may have, and a time that is none', async () => {
    const text = Buffer.from('<svg onload="alert(1)"/>').toString('base64');
    expect(await note({ photos: [text] })).toMatchObject({
      status: 422,
      body: { code: 'bad-photo', detail: expect.stringContaining('photo 1: expected a JPEG') },
    });
    const many = Array(SERVER_LIMITS.photos + 1).fill('');
    expect((await note({ photos: many })).body.code).toBe('bad-request');
    const large = 'A'.repeat(SERVER_LIMITS.noteBytes);
    expect((await note({ photos: [large] })).status).toBe(413);
    expect((await note({ on: 'yesterday' })).body.code).toBe('bad-request');
    expect((await on.get('wells/mill/book/note-1/photos/0')).body.code).toBe('unknown-entry');
    expect((await on.get('wells/mill/book/nothing/file-before')).body.code).toBe('unknown-entry');
  });

  it('is in the backup, and exported with all that hangs on it', async () => {
    const { entries } = (await on.get('wells/mill/book')).body;
    await on.post('mill', '[{"n":"pressure","u":"Pa","v":300000}]');
    const path = join(on.folder, 'wellwright.sqlite');
    const copy = join(on.folder, 'copy.sqlite');
    const out = join(on.folder, 'book.jsonl');
    expect(await store(['backup', path, copy])).toBe(0);
    const asked = ['export', copy, '--well', 'mill', '--form', 'book', '--out', out];
    expect(await store(asked)).toBe(0);
    const lines = readFileSync(out, 'utf8').trimEnd().split('\n');
    const exported = lines.map((line) => JSON.parse(line));
    expect(exported.map(({ attached, ...entry }) => entry)).toEqual(entries);
    expect(exported[0].attached).toEqual([{ what: 'file-before', text: TOML }]);
    const [first] = exported.at(-1).attached;
    const address = `${on.api}/wells/mill/book/${entries.at(-1).id}/photos/0`;
    const shown = Buffer.from(await (await fetch(address)).arrayBuffer());
    expect(first).toEqual({ what: 'photo', base64: shown.toString('base64') });
  });

  it('tells what comes round, by the notes', async () => {
    const due = async () => (await on.get('wells/mill/due')).body.reminders;
    // Its plumbing was open on that day.
    expect(await due()).toContainEqual({
      ...{ name: 'water-sample', last: null, due: '2026-06-05T00:00:00.000Z', opened: true },
    });
    expect((await note({ on: '2026-06-06T12:00:00Z', about: 'water-sample' })).status).toBe(200);
    expect(await due()).toContainEqual({
      ...{ name: 'water-sample', opened: false },
      ...{ last: '2026-06-06T12:00:00.000Z', due: '2027-06-06T12:00:00.000Z' },
    });
  });

  it('is there after a restart, and goes on after its last entry', async () => {
    const { entries } = (await on.get('wells/mill/book')).body;
    const again = await WellBook.open('mill', {
      ...{ store: on.service.store, clock: { nowS: () => 0 } },
      ...{ text: new WellTextFile(file), put: () => {}, tell: () => {}, trouble: () => {} },
    });
    expect(await again.entries()).toEqual(entries);
    const { at } = await again.note({ by: 'Keeper', about: 'other', says: 'Again.' }, []);
    expect(Date.parse(at)).toBe(Date.parse(entries.at(-1).at) + 1);
  });

  it('reads so many long notes at once, and no more', async () => {
    const { port } = new URL(on.api);
    const begun = Array.from({ length: SERVER_LIMITS.longBodies }, () => {
      const socket = connect(Number(port), '127.0.0.1');
      const head = 'Content-Type: application/json\r\nContent-Length: 1000\r\n\r\n{';
      socket.write(`POST /api/v1/wells/mill/book HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\n${head}`);
      return socket;
    });
    await expect.poll(async () => (await note({})).body.code).toBe('busy');
    for (const socket of begun) socket.destroy();
    await expect.poll(async () => (await note({})).status).toBe(200);
  });

  it('says that the store takes nothing, and keeps what is there', async () => {
    const before = readFileSync(file, 'utf8');
    const { store: kept } = on.service;
    kept.putRecords = async () => {
      throw new StoreRefuses('disk-full', 'no space left');
    };
    const refused = { status: 503, body: { code: 'not-kept' } };
    expect(await note({})).toMatchObject(refused);
    expect(await add({ table: 'service', values: SERVICE })).toMatchObject(refused);
    expect(readFileSync(file, 'utf8')).toBe(before);
    Reflect.deleteProperty(kept, 'putRecords');
    expect((await note({})).status).toBe(200);
  });
});
