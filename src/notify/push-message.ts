import { createCipheriv, createECDH, type ECDH, hkdfSync, randomBytes } from 'node:crypto';

/** A browser's keys, as its subscription has them. */
export interface PushKeys {
  /** Its public key on P-256, 65 bytes uncompressed, base64url. */
  p256dh: string;
  /** Its secret of 16 bytes, base64url. */
  auth: string;
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
