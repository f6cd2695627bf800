import { createCipheriv, createECDH, ECDH, hkdfSync, randomBytes } from 'node:crypto';

/** A browser's keys, as its subscription has them. */
export interface PushKeys {
  /** Its public key on P-256, 65 bytes uncompressed, base64url. */
  p256dh: string;
  /** Its secret of 16 bytes, base64url. */
  auth: string;
}

/** As a browser gives it when it subscribes. */
export interface Subscription {
  endpoint: string;
  keys: PushKeys;
}

/** More than any push service has. */
const LONGEST_ENDPOINT = 1024;

/** Whether a message can be made for it: an address, a point on the curve, a secret. */
export function isSubscription(given: unknown): given is Subscription {
  const { endpoint, keys } = (given ?? {}) as Partial<Subscription>;
  const point = Buffer.from(String(keys?.p256dh), 'base64url');
  return (
    typeof endpoint === 'string' &&
    endpoint.length <= LONGEST_ENDPOINT &&
    /^https?:$/.test(URL.parse(endpoint)?.protocol ?? '') &&
    isPoint(point) &&
    Buffer.from(String(keys?.auth), 'base64url').length === 16
  );
}

/** Uncompressed, and on P-256: with any other the message could not be sealed. */
function isPoint(bytes: Buffer): boolean {
  if (bytes.length !== 65 || bytes[0] !== 4) return false;
  try {
    ECDH.convertKey(bytes, 'prime256v1');
    return true;
  } catch {
    return false;
  }
}

const RECORD_BYTES = 4096;
/** Record less header, padding mark and tag: what one message holds (RFC 8188, section 2.1). */
export const PUSH_BYTES = RECORD_BYTES - 86 - 1 - 16;

/** A key pair and a salt that are used once. */
export interface Once {
  sender: ECDH;
  salt: Buffer;
}

function once(): Once {
  const sender = createECDH('prime256v1');
  sender.generateKeys();
  return { sender, salt: randomBytes(16) };
}

/**
 * A message that the browser alone can read: RFC 8291, section 3, in the `aes128gcm` coding of
 * RFC 8188, one record. At most PUSH_BYTES.
 */
export function encryptPush(
  plain: Uint8Array,
  { p256dh, auth }: PushKeys,
  { sender, salt } = once(),
): Buffer {
  const receiver = Buffer.from(p256dh, 'base64url');
  const own = sender.getPublicKey();
  const info = Buffer.concat([Buffer.from('WebPush: info\0'), receiver, own]);
  const secret = Buffer.from(auth, 'base64url');
  const keying = derived(sender.computeSecret(receiver), secret, info, 32);
  const key = derived(keying, salt, Buffer.from('Content-Encoding: aes128gcm\0'), 16);
  const nonce = derived(keying, salt, Buffer.from('Content-Encoding: nonce\0'), 12);
  const cipher = createCipheriv('aes-128-gcm', key, nonce);
  // 2 marks the last record.
  const sealed = [cipher.update(plain), cipher.update(Uint8Array.of(2)), cipher.final()];
  const size = Buffer.alloc(4);
  size.writeUInt32BE(RECORD_BYTES);
  const header = [salt, size, Uint8Array.of(own.length), own];
  return Buffer.concat([...header, ...sealed, cipher.getAuthTag()]);
}

const derived = (keying: Buffer, salt: Buffer, info: Buffer, bytes: number): Buffer =>
  Buffer.from(hkdfSync('sha256', keying, salt, info, bytes));
