import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';

const ID_BYTES = 6;
const SECRET_BYTES = 32;

/** A secret of 256 random bits can be hashed plainly: there is nothing to guess. */
const hashOf = (secret: string): Buffer => createHash('sha256').update(secret).digest();

export const hashed = (secret: string): string => hashOf(secret).toString('base64url');

/** A secret in time that does not tell how much of it is right. */
export const isSecret = (secret: string, hash: string): boolean =>
  timingSafeEqual(hashOf(secret), Buffer.from(hash, 'base64url'));

export const newSecret = (): string => randomBytes(SECRET_BYTES).toString('base64url');

/** A key to hand out: `<id>.<secret>`. Only its id and the hash are kept. */
export function newKey(): { key: string; id: string; hash: string } {
  const id = randomBytes(ID_BYTES).toString('hex');
  const secret = newSecret();
  return { key: `${id}.${secret}`, id, hash: hashed(secret) };
}

export function partsOf(key: string): { id: string; secret: string } | null {
  const parts = /^([0-9a-f]{12})\.([\w-]{43})$/.exec(key);
  return parts === null ? null : { id: parts[1]!, secret: parts[2]! };
}
