import { afterAll, beforeAll, expect, it } from 'vitest';
import { joined } from '../watch/joined.ts';

let on: Awaited<ReturnType<typeof joined>>;
beforeAll(async () => {
  on = await joined(['name = "Ridge"\n']);
}, 30_000);
afterAll(() => on.close());

const post = async (headers: Record<string, string>) => {
  const response = await fetch(`${on.api}/wells/ridge/service`, {
    ...{ method: 'POST', body: '{"by":"me","did":"x","hours":1}' },
    headers: { 'content-type': 'application/json', ...headers },
  });
  return { status: response.status, ...((await response.json()) as { code?: string }) };
};

it('whoever is on this machine owns it where nobody is to sign in', async () => {
  const { body } = await on.get('who');
  expect(body).toEqual({ signIn: false, who: { role: 'owner', name: 'owner', well: null } });
  expect((await post({})).status).toBe(200);
  const signIn = await fetch(`${on.api}/sign-in`, {
    ...{ method: 'POST', body: '{"name":"owner","passphrase":"any"}' },
    headers: { 'content-type': 'application/json' },
  });
  expect([signIn.status, await signIn.json()]).toMatchObject([409, { code: 'not-possible' }]);
  expect((await fetch(on.api.replace('/api/v1', '/ca.crt'))).status).toBe(404);
});

it('yet no page of somebody else changes anything, nor sends readings', async () => {
  const elsewhere = { origin: 'https://elsewhere.example' };
  expect(await post(elsewhere)).toMatchObject({ status: 403, code: 'wrong-origin' });
  expect(await post({ 'content-type': 'text/plain' })).toMatchObject({ code: 'wrong-type' });
  const reading = '[{"n":"pressure","u":"Pa","v":379000}]';
  const refused = await on.post('ridge', reading, elsewhere);
  expect(refused).toMatchObject({ status: 403, body: { code: 'wrong-origin' } });
  expect((await on.post('ridge', reading)).status).toBe(200);
});

it('nor do the counters hide whom it turned away', async () => {
  const { body } = await on.get('counters');
  expect(body.sinceStart).toMatchObject({ 'http:wrong-origin': 2, 'http:wrong-type': 1 });
});
