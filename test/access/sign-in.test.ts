import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ACCESS_LIMITS } from '../../src/access/limits.ts';
import { readEntries, withPerson, writeEntries } from '../../src/access/register.ts';
import { joined } from '../watch/joined.ts';
import { until } from '../watch/until.ts';
import * as t from './set-up.ts';

let on: Awaited<ReturnType<typeof joined>>;
let access: Awaited<ReturnType<typeof t.accessFolder>>;
let ca: string;
const clock = { shiftS: 0, nowS: () => Date.now() / 1000 + clock.shiftS };
const open = async () => joined(['name = "Ridge"\n'], { accessFolder: access.folder, clock });
beforeAll(async () => {
  access = await t.accessFolder();
  ca = readFileSync(access.ca, 'utf8');
  on = await open();
}, 30_000);
afterAll(async () => {
  await on.close();
  access.remove();
});

const wells = async (cookie: string) =>
  (await t.ask(`${on.api}/wells`, { ca, headers: { cookie } })).status;
const signIn = (name: string, passphrase: string) =>
  t.ask(`${on.api}/sign-in`, {
    ...{ ca, method: 'POST', headers: t.json },
    body: JSON.stringify({ name, passphrase }),
  });

describe('a session', () => {
  it('lives through a restart of the service, and for thirty days', async () => {
    const cookie = t.cookieOf(await signIn('family', t.READERS));
    await on.close();
    on = await open();
    expect(await wells(cookie)).toBe(200);
    clock.shiftS = ACCESS_LIMITS.sessionS - 60;
    expect(await wells(cookie)).toBe(200);
    clock.shiftS = ACCESS_LIMITS.sessionS + 60;
    expect(await wells(cookie)).toBe(401);
    clock.shiftS = 0;
  });

  it('is over with another passphrase, for who listens as well; others go on', async () => {
    const [owner, reader] = [
      t.cookieOf(await signIn('owner', t.OWNERS)),
      t.cookieOf(await signIn('family', t.READERS)),
    ];
    const { listening } = on.service.feed;
    const heard = new Promise<void>((resolve) => {
      t.listen(`${on.api}/events`, { ca, headers: { cookie: owner } }, resolve);
    });
    await until(() => on.service.feed.listening === listening + 1);
    const next = 'the new barn has a red door';
    const of = { passphrase: next, nowS: Date.now() / 1000 };
    writeEntries(access.folder, await withPerson(readEntries(access.folder), 'owner', of));
    await until(async () => (await wells(owner)) === 401);
    await heard;
    expect(await wells(reader)).toBe(200);
    expect((await signIn('owner', t.OWNERS)).status).toBe(401);
    expect((await signIn('owner', next)).status).toBe(200);
  }, 15_000);

  it('is kept as a hash, in a file for its owner alone', async () => {
    const cookie = t.cookieOf(await signIn('family', t.READERS));
    const file = join(access.folder, 'sessions.json');
    const text = readFileSync(file, 'utf8');
    expect(JSON.parse(text).length).toBeGreaterThan(0);
    expect(text).not.toContain(cookie.split('=')[1]);
    expect(existsSync(`${file}.part`)).toBe(false);
  });
});

describe('a wrong sign-in', () => {
  it('is told the same in the same time for a wrong name; then there is a wait', async () => {
    const timed = async (name: string) => {
      const beganMs = performance.now();
      const { status, text } = await signIn(name, 'not the passphrase of anybody');
      return { status, text, ms: performance.now() - beganMs };
    };
    const [wrong, unknown] = [await timed('family'), await timed('nobody')];
    expect([wrong.status, wrong.text]).toEqual([401, unknown.text]);
    // Without the work of a passphrase the answer would be there in a few milliseconds.
    expect(unknown.ms).toBeGreaterThan(wrong.ms / 4);
    let tries = 2;
    while ((await timed('family')).status === 401) tries += 1;
    expect(tries).toBeLessThanOrEqual(ACCESS_LIMITS.triesAnAddress);
    const told = await signIn('family', t.READERS);
    expect([told.status, told.headers['retry-after']]).toEqual([429, '60']);
    expect(JSON.parse(told.text).code).toBe('too-many-tries');
  });

  it('is counted, and said in the log by where it came from, never by what was typed', async () => {
    const says = on.said.map((line) => line.says).join('\n');
    expect(says).toMatch(/a sign-in from (::ffff:)?127\.0\.0\.1 was refused/);
    expect(says).not.toMatch(/nobody|anybody|passphrase/);
  });
});
