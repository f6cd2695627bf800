import { randomBytes, randomInt, scrypt, timingSafeEqual } from 'node:crypto';

/** A passphrase as it is kept: nobody can read it from this. */
export interface Kept {
  salt: string;
  hash: string;
  cost: { n: number; r: number; p: number };
}

/**
 * Cost of scrypt (RFC 7914): 32 MiB and three passes, so that a small machine can do it; of the
 * same strength as 128 MiB once (OWASP Password Storage Cheat Sheet, from memory).
 */
const COST = { n: 2 ** 15, r: 8, p: 3 };
const SALT_BYTES = 16;
const HASH_BYTES = 32;
/** Without those that look alike. */
const LETTERS = 'abcdefghjkmnpqrstuvwxyz23456789';
const GROUPS = 5;
const GROUP_LETTERS = 5;

/** A passphrase drawn by lot, 123 bits, easy to copy by hand. */
export function newPassphrase(): string {
  const letter = () => LETTERS[randomInt(LETTERS.length)];
  const group = () => Array.from({ length: GROUP_LETTERS }, letter).join('');
  return Array.from({ length: GROUPS }, group).join('-');
}

export async function keep(passphrase: string): Promise<Kept> {
  const salt = randomBytes(SALT_BYTES);
  const hash = await derived(passphrase, salt, COST);
  return { salt: salt.toString('base64url'), hash: hash.toString('base64url'), cost: COST };
}

/** Of nobody: whoever asks in an unknown name waits as long as for a wrong passphrase. */
export const NOBODYS: Kept = {
  salt: Buffer.alloc(SALT_BYTES).toString('base64url'),
  hash: Buffer.alloc(HASH_BYTES).toString('base64url'),
  cost: COST,
};

export async function isRight(passphrase: string, { salt, hash, cost }: Kept): Promise<boolean> {
  const found = await derived(passphrase, Buffer.from(salt, 'base64url'), cost);
  const wanted = Buffer.from(hash, 'base64url');
  return found.length === wanted.length && timingSafeEqual(found, wanted);
}

function derived(passphrase: string, salt: Buffer, { n, r, p }: Kept['cost']): Promise<Buffer> {
  // One writing for each, however a keyboard puts accents together (RFC 8265 section 4.2).
  const text = passphrase.normalize('NFC');
  const options = { N: n, r, p, maxmem: 256 * n * r };
  return new Promise((resolve, reject) => {
    scrypt(text, salt, HASH_BYTES, options, (error, key) => (error ? reject(error) : resolve(key)));
  });
}
