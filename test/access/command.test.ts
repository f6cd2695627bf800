import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, describe, expect, it } from 'vitest';
import { access } from '../../src/cli/commands/access.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { has, run } from '../support/mosquitto.ts';
import { until } from '../watch/until.ts';
import { type Child, startWatch } from '../watch/watch-child.ts';
import * as t from './set-up.ts';

const MAIN = new URL('../../src/cli/main.ts', import.meta.url).pathname;
const folder = mkdtempSync(join(tmpdir(), 'wellwright-access-command-'));
const house = join(folder, 'house');
const ridge = join(folder, 'ridge.toml');
const barn = join(folder, 'barn.toml');
writeFileSync(ridge, 'name = "Ridge"\n');
writeFileSync(barn, 'name = "Barn"\n');
afterAll(() => rmSync(folder, { recursive: true }));

let child: Child | null = null;
afterEach(async () => {
  await child?.kill();
  child = null;
});

/** The command as a person runs it, with what is typed. */
async function command(args: string[], typed = ''): Promise<{ code: number; out: string }> {
  const own = spawn(process.execPath, [MAIN, 'access', ...args]);
  let out = '';
  for (const stream of [own.stdout, own.stderr])
    stream.on('data', (piece) => {
      out += piece;
    });
  own.stdin.end(typed);
  const [code] = await once(own, 'close');
  return { code, out };
}

/** The one secret that a command has shown. */
const secretIn = (out: string): string =>
  /^ {2}(?:password {2})?([0-9a-f]{12}\.[\w-]{43}|[a-z2-9]{5}(?:-[a-z2-9]{5}){4})$/m.exec(
    out,
  )?.[1] ?? '';

describe('access', () => {
  const secrets: string[] = [];

  it('makes all that a house needs, for its owner alone', async () => {
    const made = await command(['set-up', house, '--name', 'well.example.org']);
    expect(made.code).toBe(0);
    secrets.push(secretIn(made.out));
    expect(made.out).toMatch(/fingerprint .*\n\n {2}([0-9A-F]{2}:){31}[0-9A-F]{2}\n/);
    expect(made.out).toContain('well.example.org');
    const reader = await command(['let-in', house, 'family', '--typed'], `${t.READERS}\n`);
    expect(reader).toEqual({ code: 0, out: expect.not.stringContaining(t.READERS) });
    secrets.push(t.READERS);
    for (const args of [['ridge/tee'], ['display', '--key']]) {
      const let_in = await command(['let-in', house, ...args]);
      secrets.push(secretIn(let_in.out));
    }
    expect(secrets.every((one) => one.length > 14)).toBe(true);
    expect(statSync(house).mode & 0o777).toBe(0o700);
    for (const name of readdirSync(house))
      expect([name, statSync(join(house, name)).mode & 0o777]).toEqual([name, 0o600]);
    const kept = readdirSync(house).map((name) => readFileSync(join(house, name), 'utf8'));
    for (const secret of secrets) expect(kept.join()).not.toContain(secret);
    const { out } = await command(['show', house]);
    for (const row of [/owner +owner +since/, /family +reader/, /ridge\/tee +writes ridge/])
      expect(out).toMatch(row);
    for (const secret of secrets) expect(out).not.toContain(secret);
  }, 60_000);

  it('says what it cannot do, and leaves all as it was', async () => {
    const before = readFileSync(join(house, 'access.json'), 'utf8');
    const cases: [string[], RegExp][] = [
      [[], /expected one of set-up, let-in, .*found none\nusage: /],
      [['open'], /expected one of set-up, .*found "open"/],
      [['set-up'], /expected a folder, found none/],
      [['set-up', house], /expected a new folder, found \d+ files in it/],
      [['set-up', join(folder, 'x'), '--name', 'a b'], /--name: expected a host name .*"a b"/],
      [['let-in', join(folder, 'none'), 'a'], /expected access to be set up there .*found nothing/],
      [['let-in', house], /expected one name, found ""/],
      [['let-in', house, 'Family'], /expected a name of 1 to 32 of a-z.*found "Family"/],
      [['let-in', house, 'ridge/tee', '--typed'], /--typed: expected a person, found a key/],
      [['let-in', house, '../x'], /expected a name of 1 to 32/],
      [['shut-out', house, 'nobody'], /expected one of owner, family, .*found "nobody"/],
      [['shut-out', house, 'owner'], /the owner stays/],
      [['show', house, 'x'], /expected no name, found "x"/],
      [['show', house, '--key'], /show: expected no --key, found one\nusage/],
      [['let-in', house, 'a', '--name', 'b'], /let-in: expected no --name/],
    ];
    for (const [args, says] of cases)
      await expect(access(args), args.join(' ')).rejects.toThrow(says);
    const short = await command(['let-in', house, 'family', '--typed'], 'too short\n');
    expect(short).toEqual({ code: 2, out: expect.stringMatching(/15 to 256 characters, found 9/) });
    expect((await command(['let-in', house, 'family', '--typed'])).out).toMatch(/found none/);
    expect(readFileSync(join(house, 'access.json'), 'utf8')).toBe(before);
    const broken = join(folder, 'broken');
    await command(['set-up', broken]);
    writeFileSync(join(broken, 'access.json'), '{"version":7}');
    await expect(access(['show', broken])).rejects.toThrow(/version 1, found something else/);
  }, 60_000);

  it('opens the service to the house: its lines work with a key in their place', async () => {
    const store = join(folder, 'kept.sqlite');
    child = await startWatch([
      ...['watch', '--well', ridge, '--well', barn, '--store', store, '--host', '0.0.0.0'],
      ...['--http', '0', '--mqtt', '0', '--plain-mqtt', '0', '--access', house],
    ]);
    const out = child.out();
    expect(out).toContain('Caution: MQTT without TLS is open');
    const page = /Open the page: (https:\S+)/.exec(out)?.[1] ?? '';
    expect(page).toMatch(new RegExp(`:${child.ports.http}/$`));
    const [, , key = ''] = secrets;
    const lines = out
      .split('\n')
      .filter((line) => line.includes('try it') && line.includes('wells/ridge/'))
      .map((line) => line.replace(/^ *try it */, ''))
      .map((line) => line.replace('<device>', 'tee').replace('<key>', key));
    expect(lines).toHaveLength(3);
    for (const line of lines.filter((one) => has(one.split(' ')[0] ?? ''))) {
      const { code, out: told } = await run('sh', ['-c', line]);
      expect([code, told], line).toEqual([0, expect.not.stringMatching(/error|code/i)]);
    }
    const ca = readFileSync(join(house, 'authority.crt'), 'utf8');
    const ask = (path: string, headers: Record<string, string>, body?: string) =>
      t.ask(`https://127.0.0.1:${child?.ports.http}/api/v1/${path}`, {
        ...{ ca, headers: { ...t.json, ...headers } },
        ...(body !== undefined && { method: 'POST', body }),
      });
    const signIn = JSON.stringify({ name: 'owner', passphrase: secrets[0] });
    const cookie = t.cookieOf(await ask('sign-in', {}, signIn));
    secrets.push(cookie.split('=')[1] ?? '');
    await ask('wells', t.bearer('0123456789ab.wrong'));
    const wells = JSON.parse((await ask('wells', { cookie })).text).wells;
    expect(wells.map((one: { readings: number }) => one.readings)).toEqual([3, 0]);
    expect((await command(['shut-out', house, 'ridge/tee'])).code).toBe(0);
    await until(async () => (await ask('wells', t.bearer(key))).status === 401);
    // Neither the log nor what is kept of readings, nor a backup of that, has any of it.
    await child.stop();
    const copy = join(folder, 'copy.sqlite');
    const kept = new SqliteStore(store);
    await kept.backup(copy);
    await kept.close();
    const places = [store, copy].map((file) => readFileSync(file).toString('latin1'));
    for (const secret of [...secrets, ...hashesIn(house)])
      for (const place of [...places, child.out(), child.err()])
        expect(place.includes(secret), secret).toBe(false);
    expect(child.err()).toContain('owner has signed in from');
  }, 60_000);

  it('refuses to start with a folder that is none, and says what to do', async () => {
    const { code, out } = await run(process.execPath, [
      ...[MAIN, 'watch', '--well', ridge, '--access', join(folder, 'none')],
      ...['--http', '0', '--mqtt', '0', '--store', join(folder, 'n.sqlite')],
    ]);
    expect([code, out]).toEqual([2, expect.stringMatching(/expected access to be set up there/)]);
  });
});

/** Whatever is kept of secrets: hashes and salts, and private keys. */
function hashesIn(of: string): string[] {
  const { people, keys } = JSON.parse(readFileSync(join(of, 'access.json'), 'utf8'));
  const hashes = [...people.map((one: { passphrase: object }) => one.passphrase), ...keys].flatMap(
    ({ hash, salt }) => [hash, salt].filter((one) => one !== undefined),
  );
  const pems = ['authority.key', 'server.key'].map(
    (name) => readFileSync(join(of, name), 'utf8').split('\n')[1] ?? '',
  );
  expect(hashes.length + pems.length).toBeGreaterThan(5);
  return [...hashes, ...pems];
}
