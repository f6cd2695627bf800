import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { joined } from '../watch/joined.ts';
import * as t from './set-up.ts';

let on: Awaited<ReturnType<typeof joined>>;
let access: Awaited<ReturnType<typeof t.accessFolder>>;
let ca: string;
let owner: Record<string, string>;
beforeAll(async () => {
  access = await t.accessFolder();
  ca = readFileSync(access.ca, 'utf8');
  on = await joined(['name = "Ridge"\n', 'name = "Barn"\n'], { accessFolder: access.folder });
  const passphrase = JSON.stringify({ name: 'owner', passphrase: t.OWNERS });
  const told = await t.ask(`${on.api}/sign-in`, {
    ...{ ca, method: 'POST', headers: t.json, body: passphrase },
  });
  owner = { cookie: t.cookieOf(told) };
}, 30_000);
afterAll(async () => {
  await on.close();
  access.remove();
});

const get = async (path: string, headers = owner) =>
  JSON.parse((await t.ask(`${on.api}/${path}`, { ca, headers })).text);
const post = async (path: string, asked: unknown, headers = owner) => {
  const body = JSON.stringify(asked);
  const told = await t.ask(`${on.api}/${path}`, {
    ...{ ca, method: 'POST', headers: { ...t.json, ...headers }, body },
  });
  return { ...told, body: JSON.parse(told.text) };
};
const send = async (well: string, headers: Record<string, string>) => {
  const asked = { ca, method: 'POST', headers: { ...t.senml, ...headers }, body: t.READING };
  return (await t.ask(`${on.api}/wells/${well}/readings`, asked)).status;
};
const said = () => on.said.map(({ says }) => says).join('\n');

describe('who acts is who is signed in', () => {
  it('whatever name is sent, or none', async () => {
    const work = { did: 'new switch', hours: 1 };
    for (const by of [{ by: 'somebody else' }, {}, { by: 7 }]) {
      const declared = await post('wells/ridge/service', { ...work, ...by });
      expect([declared.status, declared.body.by]).toEqual([200, 'owner']);
      expect((await post('wells/ridge/service/end', by)).status).toBe(200);
      const noted = await post('wells/ridge/book', { says: 'looked at it', ...by });
      expect([noted.status, noted.body.act.by]).toEqual([200, 'owner']);
      const values = { on: '2026-04-06', did: 'other' };
      const block = await post('wells/ridge/file-text/blocks', { table: 'service', values, ...by });
      expect(block.status, block.text).toBe(200);
    }
    const { entries } = await get('wells/ridge/book');
    expect(entries.map((one: { act: { by: string } }) => one.act.by)).toEqual(
      Array.from({ length: 6 }, () => 'owner'),
    );
    const record = await get('wells/ridge/alarm-record');
    expect(JSON.stringify(record)).not.toContain('somebody');
    expect(JSON.stringify(record)).toContain('"by":"owner"');
  });

  it('and no other thing is let through for it', async () => {
    for (const asked of [[], 'x', null, { says: 'x', other: 1 }])
      expect((await post('wells/ridge/book', asked)).status, JSON.stringify(asked)).toBe(400);
  });

  it('when a well is made, too', async () => {
    expect((await post('wells', { text: 'name = "Gravel bend"\n' })).status).toBe(200);
    expect(said()).toContain('made by questions by owner: ');
  });
});

describe('a key of a device, made by the owner over HTTP', () => {
  it('is in force at once, shown once, and kept as a hash', async () => {
    const made = await post('wells/barn/devices', { device: 'house' });
    expect([made.status, made.headers['cache-control']]).toEqual([200, 'no-store']);
    const { user, key } = made.body;
    expect([user, key]).toEqual(['barn/house', expect.stringMatching(/^[0-9a-f]{12}\.[\w-]{43}$/)]);
    expect(await send('barn', t.basic(user, key))).toBe(200);
    expect(await send('ridge', t.basic(user, key))).toBe(403);
    const { devices } = await get('wells/barn/devices');
    expect(devices.map((one: { name: string }) => one.name)).toEqual(['barn/tee', 'barn/house']);
    const kept = readFileSync(`${access.folder}/access.json`, 'utf8');
    for (const place of [JSON.stringify(devices), kept, said()])
      expect(place).not.toContain(key.split('.')[1]);
    expect(said()).toContain('owner has made a key for barn/house');
  });

  it('ends the one before it, and is over when it is shut out', async () => {
    const first = (await post('wells/barn/devices', { device: 'spare' })).body.key;
    const second = (await post('wells/barn/devices', { device: 'spare' })).body.key;
    expect(await send('barn', t.bearer(first))).toBe(401);
    expect(await send('barn', t.bearer(second))).toBe(200);
    const over = await post('wells/barn/devices/spare/shut-out', {});
    expect([over.status, over.body]).toEqual([200, { ended: true }]);
    expect(await send('barn', t.bearer(second))).toBe(401);
    expect(said()).toContain('owner has shut out barn/spare');
    // That of the other device goes on.
    expect(await send('barn', t.basic('barn/tee', access.keys['barn/tee']))).toBe(200);
  });

  it('cannot be of a name that is none, of no well, or of nobody', async () => {
    for (const device of ['', 'Tee', 'a/b', '../x', 'x'.repeat(33)])
      expect((await post('wells/barn/devices', { device })).status, `${device}`).toBe(400);
    expect((await post('wells/none/devices', { device: 'tee' })).status).toBe(404);
    const none = await post('wells/barn/devices/none/shut-out', {});
    expect([none.status, none.body.code]).toEqual([409, 'not-possible']);
    expect(none.body.detail).toMatch(/expected one of .*found "barn\/none"/);
  });

  it('is not needed where access is not set up, and cannot be made', async () => {
    const open = await joined(['name = "Barn"\n']);
    try {
      expect((await open.get('wells/barn/devices')).body).toEqual({ devices: null });
      const asked = { method: 'POST', headers: t.json, body: '{"device":"tee"}' };
      const told = await fetch(`${open.api}/wells/barn/devices`, asked);
      expect([told.status, ((await told.json()) as { code: string }).code]).toEqual([
        409,
        'not-possible',
      ]);
      const work = { method: 'POST', headers: t.json, body: '{"by":"me","did":"x","hours":1}' };
      const declared = await fetch(`${open.api}/wells/barn/service`, work);
      expect(((await declared.json()) as { by: string }).by).toBe('me');
    } finally {
      await open.close();
    }
  });
});
