import { createHmac, timingSafeEqual } from 'node:crypto';

/** How far the clocks of sender and receiver may be apart, s. */
const APART_S = 300;

/** What goes with a body so that its receiver knows who sent it, and when. */
export interface Signed {
  /** Unix s, whole. */
  time: string;
  /** HMAC-SHA-256 of `<time>.<body>` under the secret, in hex (RFC 2104, FIPS 180-4). */
  signature: string;
}

export function sign(secret: string, body: string, atS: number): Signed {
  const time = String(Math.floor(atS));
  return { time, signature: hmac(secret, `${time}.${body}`).toString('hex') };
}

const hmac = (secret: string, text: string): Buffer =>
  createHmac('sha256', secret).update(text, 'utf8').digest();

/**
 * Whether a body was signed with the secret within the last five minutes: what a receiver does. One
 * that also remembers the notice ids of these minutes takes none twice.
 */
export function isGenuine(secret: string, body: string, signed: Signed, nowS: number): boolean {
  const { time, signature } = signed;
  if (!/^\d{1,12}$/.test(time) || !/^[0-9a-f]{64}$/.test(signature)) return false;
  const expected = hmac(secret, `${time}.${body}`);
  const isEqual = timingSafeEqual(expected, Buffer.from(signature, 'hex'));
  return isEqual && Math.abs(nowS - Number(time)) <= APART_S;
}
