import { createECDH } from 'node:crypto';
import { expect, it } from 'vitest';
import { encryptPush, PUSH_BYTES } from '../../src/notify/push-message.ts';
import vectors from '../../src/notify/push-message.vectors.json' with { type: 'json' };
import { decryptPush } from '../support/push-receiver.ts';

const bytes = (text: string): Buffer => Buffer.from(text, 'base64url');

it('encrypts the example of RFC 8291 to the message printed there', () => {
  const sender = createECDH('prime256v1');
  sender.setPrivateKey(bytes(vectors.senderPrivate));
  const { p256dh, auth, salt, plain } = vectors;
  const made = encryptPush(Buffer.from(plain), { p256dh, auth }, { sender, salt: bytes(salt) });
  expect(made.toString('base64url')).toBe(vectors.message);
});

it('is read again as a browser reads it, up to the longest message', () => {
  const own = { privateKey: bytes(vectors.receiverPrivate), auth: bytes(vectors.auth) };
  // The receiver of this test reads the printed message, too.
  expect(decryptPush(bytes(vectors.message), own).plain.toString()).toBe(vectors.plain);
  const { p256dh, auth } = vectors;
  const plain = Buffer.alloc(PUSH_BYTES, 'x');
  const made = encryptPush(plain, { p256dh, auth });
  const { plain: read, recordBytes } = decryptPush(made, own);
  expect(read.equals(plain)).toBe(true);
  expect(made.length).toBe(recordBytes);
});
