import { execFileSync } from 'node:child_process';
import { expect, it } from 'vitest';
import { isRight, keep, NOBODYS, newPassphrase } from './passphrase.ts';

const WORDS = 'nobody counts the fence posts';

it('a passphrase is kept as what OpenSSL derives from it', async () => {
  const { salt, hash, cost } = await keep(WORDS);
  const hex = Buffer.from(salt, 'base64url').toString('hex');
  const settings = [`pass:${WORDS}`, `hexsalt:${hex}`, `n:${cost.n}`, `r:${cost.r}`, `p:${cost.p}`];
  const options = [...settings, 'maxmem_bytes:134217728'].flatMap((one) => ['-kdfopt', one]);
  const derived = execFileSync('openssl', ['kdf', '-keylen', '32', ...options, 'SCRYPT']);
  const found = Buffer.from(derived.toString().replaceAll(/[:\s]/g, ''), 'hex');
  expect(found.toString('base64url')).toBe(hash);
});

it('is right however a keyboard writes its accents, and only as it is', async () => {
  const kept = await keep('Gr\u00fcn ist der Anger');
  expect(await isRight('Gru\u0308n ist der Anger', kept)).toBe(true);
  expect(await isRight('Grun ist der Anger', kept)).toBe(false);
  expect(await isRight('', NOBODYS)).toBe(false);
});

it('has a salt of its own each time', async () => {
  const [a, b] = [await keep(WORDS), await keep(WORDS)];
  expect(a.salt).not.toBe(b.salt);
  expect(a.hash).not.toBe(b.hash);
});

it('drawn by lot is long enough, without letters that look alike, and never the same', () => {
  const drawn = Array.from({ length: 200 }, newPassphrase);
  for (const one of drawn) expect(one).toMatch(/^([a-km-np-z2-9]{5}-){4}[a-km-np-z2-9]{5}$/);
  expect(new Set(drawn).size).toBe(200);
});
