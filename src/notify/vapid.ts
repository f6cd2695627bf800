import { createPrivateKey, generateKeyPairSync, type KeyObject, sign } from 'node:crypto';

/** The keys by which a push service knows who sends (RFC 8292), as JWK parts, base64url. */
export interface VapidKeys {
  x: string;
  y: string;
  d: string;
}

/** A token holds at most a day (RFC 8292, section 2); half of it leaves room for clocks. */
const HOLDS_S = 43_200;

export function newVapidKeys(): VapidKeys {
  const { privateKey } = generateKeyPairSync('ec', { namedCurve: 'P-256' });
  const { x, y, d } = privateKey.export({ format: 'jwk' }) as Record<string, string>;
  return { x: x!, y: y!, d: d! };
}

/** The public key as a browser wants it when it subscribes: 65 bytes uncompressed, base64url. */
export const publicKeyOf = ({ x, y }: VapidKeys): string =>
  Buffer.concat([
    Uint8Array.of(4),
    Buffer.from(x, 'base64url'),
    Buffer.from(y, 'base64url'),
  ]).toString('base64url');

export const keyOf = ({ x, y, d }: VapidKeys): KeyObject =>
  createPrivateKey({ key: { kty: 'EC', crv: 'P-256', x, y, d }, format: 'jwk' });

/** The Authorization header for a push service: a JWT signed with ES256 (RFC 8292, section 3). */
export function vapidHeader(
  endpoint: string,
  keys: VapidKeys,
  { contact, nowS }: { contact: string; nowS: number },
): string {
  const part = (value: unknown) => Buffer.from(JSON.stringify(value)).toString('base64url');
  const claims = {
    aud: new URL(endpoint).origin,
    exp: Math.floor(nowS) + HOLDS_S,
    sub: contact,
  };
  const text = `${part({ typ: 'JWT', alg: 'ES256' })}.${part(claims)}`;
  const signed = sign('sha256', Buffer.from(text), {
    key: keyOf(keys),
    dsaEncoding: 'ieee-p1363',
  });
  return `vapid t=${text}.${signed.toString('base64url')}, k=${publicKeyOf(keys)}`;
}
