import {
  createDecipheriv,
  createECDH,
  createPublicKey,
  hkdfSync,
  randomBytes,
  verify,
} from 'node:crypto';
import { httpReceiver, type Received } from './http-receiver.ts';

/** What a browser does with a message (RFC 8291, section 4; RFC 8188, section 2). */
export function decryptPush(
  body: Buffer,
  own: { privateKey: Buffer; auth: Buffer },
): { plain: Buffer; recordBytes: number } {
  const salt = body.subarray(0, 16);
  const recordBytes = body.readUInt32BE(16);
  const idBytes = body[20]!;
  const sender = body.subarray(21, 21 + idBytes);
  const sealed = body.subarray(21 + idBytes);
  const ecdh = createECDH('prime256v1');
  ecdh.setPrivateKey(own.privateKey);
  const info = Buffer.concat([Buffer.from('WebPush: info\0'), ecdh.getPublicKey(), sender]);
  const shared = ecdh.computeSecret(sender);
  const keying = Buffer.from(hkdfSync('sha256', shared, own.auth, info, 32));
  const part = (name: string, bytes: number) =>
    Buffer.from(hkdfSync('sha256', keying, salt, `Content-Encoding: ${name}\0`, bytes));
  const opened = createDecipheriv('aes-128-gcm', part('aes128gcm', 16), part('nonce', 12));
  opened.setAuthTag(sealed.subarray(-16));
  const padded = Buffer.concat([opened.update(sealed.subarray(0, -16)), opened.final()]);
  const end = padded.lastIndexOf(2);
  return { plain: padded.subarray(0, end), recordBytes };
}

/** Claims of the token that a push service was sent, its signature verified (RFC 8292). */
export function readVapid(authorization: string): { claims: Record<string, unknown>; k: string } {
  const [, token = '', k = ''] = /^vapid t=([^,]+), k=(\S+)$/.exec(authorization) ?? [];
  const [head = '', claims = '', signed = ''] = token.split('.');
  const point = Buffer.from(k, 'base64url');
  const [x, y] = [point.subarray(1, 33), point.subarray(33)].map((b) => b.toString('base64url'));
  const key = createPublicKey({ key: { kty: 'EC', crv: 'P-256', x: x!, y: y! }, format: 'jwk' });
  const data = Buffer.from(`${head}.${claims}`);
  const signature = Buffer.from(signed, 'base64url');
  if (!verify('sha256', data, { key, dsaEncoding: 'ieee-p1363' }, signature))
    throw new Error('the token is not signed with its key');
  return { claims: JSON.parse(Buffer.from(claims, 'base64url').toString()), k };
}

/** A push service, and the browser behind it. */
export async function pushReceiver(tls: Parameters<typeof httpReceiver>[0] = null) {
  const http = await httpReceiver(tls);
  const ecdh = createECDH('prime256v1');
  ecdh.generateKeys();
  const auth = randomBytes(16);
  const own = { privateKey: ecdh.getPrivateKey(), auth };
  return {
    ...http,
    subscription: {
      endpoint: `${http.url}/push/a-secret-path`,
      keys: {
        p256dh: ecdh.getPublicKey().toString('base64url'),
        auth: auth.toString('base64url'),
      },
    },
    open: ({ body }: Received) => decryptPush(body, own).plain,
  };
}
