import { statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Subscriptions } from '../../src/notify/subscriptions.ts';
import { pushReceiver } from '../support/push-receiver.ts';
import { joined } from './joined.ts';

const WHO = { by: 'Upstairs' };
const RIDGE = 'name = "Ridge"\n';
const push = { contact: 'mailto:keeper@example.org', inHouse: ['127.0.0.1'] };
const quiet = { fromS: 22 * 3600, toS: 7 * 3600 };
const alarms = { settings: { receivers: [], heartbeat: null, push }, folder: '.' };

describe('a browser that subscribes by the page', () => {
  let on: Awaited<ReturnType<typeof joined>>;
  let service: Awaited<ReturnType<typeof pushReceiver>>;
  beforeAll(async () => {
    service = await pushReceiver();
    on = await joined([RIDGE], { alarms });
  });
  afterAll(async () => {
    await on.close();
    await service.close();
  });

  const ask = async (path: string, body: unknown) => {
    const response = await fetch(`${on.api}/${path}`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
    });
    const told = (await response.json()) as Record<string, unknown>;
    return { status: response.status, body: told };
  };
  const desk = async () => (await on.get('push')).body;

  it('gets the key, is told, is kept over a start, and is told no more', async () => {
    const { key, subscribers } = await desk();
    // RFC 8292, section 3.2: an uncompressed point on P-256.
    expect(Buffer.from(key, 'base64url')).toHaveLength(65);
    expect(subscribers).toEqual([]);
    const asked = { by: 'Upstairs', from: 'today', quiet: ['22:00', '07:00'] };
    const { subscription } = service;
    const told = await ask('push/phone', { ...asked, subscription });
    expect(told).toMatchObject({ status: 200, body: { ...asked, name: 'phone' } });
    expect((await ask('push/phone', { ...asked, subscription })).status).toBe(200);
    expect((await desk()).subscribers).toMatchObject([{ name: 'phone', by: 'Upstairs' }]);
    expect(JSON.stringify(await desk())).not.toContain(subscription.keys.auth);

    const tested = await ask('wells/ridge/alarms/test', { by: 'Upstairs' });
    expect(tested.body.told).toEqual([{ receiver: 'phone', says: null }]);
    const notice = JSON.parse(service.open(service.received[0]!).toString());
    expect(notice.subject).toBe('Test: this is how phone is told');

    const file = join(on.folder, 'wellwright.sqlite.push.json');
    expect(statSync(file).mode & 0o077).toBe(0);
    const clock = { nowS: () => 0 };
    const kept = { file, settings: push, taken: [], clock, trouble: () => undefined };
    const started = await Subscriptions.open(kept);
    expect(started.key).toBe(key);
    expect(started.subscribers).toEqual([
      { name: 'phone', by: 'Upstairs', from: 'today', quiet, sinceS: expect.any(Number) },
    ]);
    writeFileSync(join(on.folder, 'broken.json'), '{"keys":');
    const broken = Subscriptions.open({ ...kept, file: join(on.folder, 'broken.json') });
    await expect(broken).rejects.toThrow(/expected what the service wrote/);

    expect((await ask('push/phone/end', WHO)).body).toEqual({ ended: true });
    expect((await ask('push/phone/end', WHO)).status).toBe(409);
    expect((await desk()).subscribers).toEqual([]);
  });

  it('cannot have messages sent into the house, nor to what is no push service', async () => {
    const { subscription } = service;
    const asked = (endpoint: unknown, keys: unknown = subscription.keys) => ({
      ...{ by: 'Upstairs', subscription: { endpoint, keys } },
    });
    for (const wrong of [
      ...['http://push.example.org/x', 'ftp://push.example.org/x', 'file:///etc/passwd', '', 7],
      `https://push.example.org/${'x'.repeat(1100)}`,
    ])
      expect((await ask('push/tablet', asked(wrong))).status, String(wrong)).toBe(409);
    const good = 'https://push.example.org/x';
    const off = Buffer.alloc(65, 4).toString('base64url');
    for (const keys of [{}, null, { ...subscription.keys, p256dh: off }, { p256dh: '', auth: '' }])
      expect((await ask('push/tablet', asked(good, keys))).status).toBe(409);
    expect((await ask('push/Two Words', asked(good))).status).toBe(400);
    expect((await ask('push/tablet', { ...asked(good), admin: true })).status).toBe(400);
    expect((await ask('push/tablet', { ...asked(good), quiet: ['7:00', '8:00'] })).status).toBe(
      400,
    );
    expect((await desk()).subscribers).toEqual([]);
    // Names and addresses of the house pass for https; nothing is sent there all the same.
    expect((await ask('push/tablet', asked('https://localhost/x'))).status).toBe(200);
    const { body } = await ask('wells/ridge/alarms/test', { by: 'Upstairs' });
    expect(body.told).toEqual([
      { receiver: 'tablet', says: expect.stringMatching(/expected a server outside the house/) },
    ]);
    await ask('push/tablet/end', WHO);
  });

  it('that has ended its subscription is forgotten (RFC 8030, section 7.3)', async () => {
    const { subscription } = service;
    await ask('push/phone', { by: 'Upstairs', subscription });
    service.answer(410);
    const [phone] = on.service.alarms.subscriptions!.receivers;
    await expect(phone!.notifier.tell({} as never)).rejects.toThrow('found 410');
    expect((await desk()).subscribers).toEqual([]);
    service.answer(201);
  });

  it('is one of so many, and not where nobody asked for it', async () => {
    const { subscription } = service;
    for (let i = 0; i < 16; i++)
      expect((await ask(`push/of-${i}`, { by: 'a', subscription })).status).toBe(200);
    expect((await ask('push/one-more', { by: 'a', subscription })).status).toBe(409);
    const without = await joined([RIDGE]);
    expect((await without.get('push')).body).toEqual({ key: null, subscribers: [] });
    await without.close();
  });
});
