import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { joined } from '../watch/joined.ts';
import * as t from './set-up.ts';

let on: Awaited<ReturnType<typeof joined>>;
let access: Awaited<ReturnType<typeof t.accessFolder>>;
let ca: string;
/** What each sends to say who asks. */
let as: Record<string, Record<string, string>>;
beforeAll(async () => {
  access = await t.accessFolder();
  ca = readFileSync(access.ca, 'utf8');
  on = await joined(['name = "Ridge"\n', 'name = "Barn"\n'], { accessFolder: access.folder });
  as = {
    nobody: {},
    owner: { cookie: t.cookieOf(await signIn('owner', t.OWNERS)) },
    reader: { cookie: t.cookieOf(await signIn('family', t.READERS)) },
    program: t.bearer(access.keys.display),
    device: t.bearer(access.keys['ridge/tee']),
    other: t.basic('barn/tee', access.keys['barn/tee']),
  };
}, 30_000);
afterAll(async () => {
  await on.close();
  access.remove();
});

const get = (path: string, headers: Record<string, string> = {}) =>
  t.ask(`${on.api}/${path}`, { ca, headers });
const post = (path: string, body: string, headers: Record<string, string>) =>
  t.ask(`${on.api}/${path}`, { ca, method: 'POST', headers: { ...t.json, ...headers }, body });
const signIn = (name: string, passphrase: string, headers: Record<string, string> = {}) =>
  post('sign-in', JSON.stringify({ name, passphrase }), headers);

type Rule = 'anyone' | 'reader' | 'owner' | 'device';
/** What each may, of a route by its rule, asked of the well Ridge. */
const MAY: Record<Rule, string[]> = {
  anyone: ['nobody', 'owner', 'reader', 'program', 'device', 'other'],
  reader: ['owner', 'reader', 'program'],
  owner: ['owner'],
  device: ['owner', 'device'],
};
/** Routes whose rule is not that of their method. */
const OTHERWISE: Record<string, Rule> = {
  'get /api/v1/health': 'anyone',
  'get /api/v1/who': 'anyone',
  'post /api/v1/sign-in': 'anyone',
  'post /api/v1/sign-out': 'anyone',
  'post /api/v1/wells/{well}/readings': 'device',
};

describe('who may what', () => {
  it('goes by the role, on every route that OpenAPI lists', async () => {
    const page = JSON.parse((await get('openapi.json', as.owner)).text);
    let asked = 0;
    for (const [path, methods] of Object.entries<Record<string, { security?: object[] }>>(
      page.paths,
    )) {
      const url = path
        .replace('/api/v1/', '')
        .replace('{well}', 'ridge')
        .replace(/\{\w+\}/g, 'x');
      for (const [method, { security }] of Object.entries(methods)) {
        const rule =
          OTHERWISE[`${method} ${path}`] ?? (method === 'get' ? 'reader' : ('owner' as const));
        expect(security?.length === 0, `${method} ${path}`).toBe(rule === 'anyone');
        for (const [i, [name, headers]] of Object.entries(as).entries()) {
          // What is asked is nonsense to the route: that it says so means that one was let in.
          const told = await t.ask(`${on.api}/${url}`, {
            // Each from an address of its own, so that no rate of one is met.
            ...{ ca, method: method.toUpperCase(), localAddress: `127.0.0.${2 + i}` },
            headers: method === 'get' ? headers : { ...t.json, ...headers },
            ...(method !== 'get' && { body: '[7]' }),
          });
          const refused = [401, 403].includes(told.status);
          expect(!refused, `${name}: ${method} ${path}: ${told.text}`).toBe(
            MAY[rule].includes(name),
          );
          if (refused) expect(told.status).toBe(name === 'nobody' ? 401 : 403);
          asked += 1;
        }
      }
    }
    expect(asked).toBeGreaterThan(6 * 25);
    for (const one of Object.keys(OTHERWISE)) {
      const [method = '', path = ''] = one.split(' ');
      expect(page.paths[path]?.[method], one).toBeDefined();
    }
  });

  it('takes readings of a device for its own well, by key or by name and key', async () => {
    const send = (well: string, headers: Record<string, string>) =>
      post(`wells/${well}/readings`, t.READING, { ...headers, ...t.senml });
    const key = access.keys['ridge/tee'];
    expect((await send('ridge', t.bearer(key))).status).toBe(200);
    expect((await send('ridge', t.basic('ridge/tee', key))).status).toBe(200);
    const wrong: [string, Record<string, string>, number, string][] = [
      ['barn', t.bearer(key), 403, 'not-allowed'],
      ['none', t.bearer(key), 403, 'not-allowed'],
      ['ridge', t.basic('barn/tee', key), 401, 'wrong-key'],
      ['ridge', t.bearer(access.keys.display), 403, 'not-allowed'],
      ['ridge', t.bearer(`${key?.slice(0, -4)}AAAA`), 401, 'wrong-key'],
      ['ridge', t.bearer('x'), 401, 'wrong-key'],
      ['ridge', { authorization: 'Digest x' }, 401, 'wrong-key'],
      ['ridge', {}, 401, 'sign-in'],
    ];
    for (const [well, headers, status, code] of wrong) {
      const told = await send(well, headers);
      expect([told.status, JSON.parse(told.text).code], `${well} ${code}`).toEqual([status, code]);
    }
  });

  it('shows nothing to nobody but the page and the certificate of the house', async () => {
    const address = on.api.replace('/api/v1', '');
    const at = async (path: string) => (await t.ask(`${address}${path}`, { ca })).status;
    for (const path of ['/', '/wells/ridge', '/wells/ridge/runs', '/manifest.webmanifest'])
      expect(await at(path), path).toBe(200);
    for (const path of ['/none', '/api/v1/none', '/api/v1/openapi.json', '/assets/none.js'])
      expect(await at(path), path).toBe(401);
    const given = await t.ask(`${address}/ca.crt`, { ca });
    expect([given.headers['content-type'], given.text]).toEqual(['application/x-x509-ca-cert', ca]);
  });
});

describe('a session', () => {
  it('is told by a cookie that no script reads and no other page sends', async () => {
    const told = await signIn('owner', t.OWNERS);
    expect(told.status).toBe(200);
    expect(JSON.parse(told.text)).toEqual({
      signIn: true,
      who: { role: 'owner', name: 'owner', well: null },
    });
    const [cookie = ''] = told.headers['set-cookie'] ?? [];
    expect(cookie).toMatch(
      /^__Host-session=[\w-]{43}; Expires=.*GMT; Path=\/; Secure; HttpOnly; SameSite=Strict$/,
    );
    const who = JSON.parse((await get('who', { cookie: t.cookieOf(told) })).text);
    expect(who.who.name).toBe('owner');
  });

  it('is a new one at each sign-in, and never one that somebody brought', async () => {
    const planted = `__Host-session=${'A'.repeat(43)}`;
    const told = await signIn('owner', t.OWNERS, { cookie: planted });
    expect(t.cookieOf(told)).not.toBe(planted);
    expect((await get('wells', { cookie: planted })).status).toBe(401);
    const again = await signIn('owner', t.OWNERS, { cookie: t.cookieOf(told) });
    expect((await get('wells', { cookie: t.cookieOf(told) })).status).toBe(401);
    expect((await get('wells', { cookie: t.cookieOf(again) })).status).toBe(200);
  });

  it('is over with the sign-out, there and in the browser', async () => {
    const cookie = t.cookieOf(await signIn('family', t.READERS));
    const told = await post('sign-out', '{}', { cookie });
    expect(String(told.headers['set-cookie'])).toMatch(
      /^__Host-session=; Expires=Thu, 01 Jan 1970/,
    );
    expect((await get('wells', { cookie })).status).toBe(401);
    expect(JSON.parse((await get('who', { cookie })).text)).toEqual({ signIn: true, who: null });
  });
});

describe('a page of somebody else', () => {
  it('changes nothing, whoever is signed in', async () => {
    const { cookie = '' } = as.owner!;
    const service = (headers: Record<string, string>) =>
      post('wells/ridge/service', '{"by":"me","did":"x","hours":1}', { cookie, ...headers });
    const origin = on.api.replace('/api/v1', '');
    const refused: [Record<string, string>, number][] = [
      [{ origin: 'https://elsewhere.example' }, 403],
      [{ origin: 'null' }, 403],
      [{ origin: origin.replace('https', 'http') }, 403],
      [{ origin, 'sec-fetch-site': 'same-site' }, 403],
      [{ 'sec-fetch-site': 'cross-site' }, 403],
      [{ 'content-type': 'text/plain' }, 415],
      [{ 'content-type': 'application/x-www-form-urlencoded' }, 415],
      [{ 'content-type': 'multipart/form-data; boundary=x' }, 415],
    ];
    for (const [headers, status] of refused)
      expect((await service(headers)).status, JSON.stringify(headers)).toBe(status);
    expect((await service({ origin })).status).toBe(200);
    expect((await post('wells/ridge/service/end', '{"by":"me"}', { cookie })).status).toBe(200);
    const asked = await t.ask(`${on.api}/wells`, { ca, method: 'OPTIONS', headers: { origin } });
    expect(asked.headers['access-control-allow-origin']).toBeUndefined();
  });

  it('reads nothing under a name of its own that leads here', async () => {
    const under = async (host: string) => {
      const options = { ca, headers: { ...as.owner, host }, servername: 'localhost' };
      return (await t.ask(`${on.api}/wells`, options)).status;
    };
    for (const host of ['elsewhere.example', 'localhost.elsewhere.example'])
      expect(await under(host), host).toBe(421);
    for (const host of ['localhost', 'localhost:1', '127.0.0.1:8443', '[::1]:1'])
      expect(await under(host), host).toBe(200);
  });
});
