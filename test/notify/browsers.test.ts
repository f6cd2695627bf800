import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { getCACertificates, setDefaultCACertificates } from 'node:tls';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { type BrowserReceiver, Browsers, NotSubscribed } from '../../src/notify/browsers.ts';
import { newVapidKeys } from '../../src/notify/vapid.ts';
import { NotTold } from '../../src/ports/notifier.ts';
import { noticeOf } from '../contract/notifier.contract.ts';
import { pushReceiver, readVapid } from '../support/push-receiver.ts';
import { certificate } from '../support/smtp-receiver.ts';

const trusted = getCACertificates();
const settings = {
  keysFile: 'keys.json',
  contact: 'mailto:keeper@example.org',
  subscriptionsFile: 'browsers.json',
  from: 'days' as const,
  quiet: null,
};

let folder: string;
let push: Awaited<ReturnType<typeof pushReceiver>>;
let receivers: BrowserReceiver[];
const open = () => {
  receivers = [];
  return Browsers.open({
    ...{ settings, folder, clock: { nowS: () => Date.now() / 1000 } },
    onJoin: (one) => receivers.push(one),
    onLeave: (name) => {
      receivers = receivers.filter((one) => one.settings.name !== name);
    },
  });
};
const names = () => receivers.map((one) => one.settings.name);
const kept = () => JSON.parse(readFileSync(join(folder, 'browsers.json'), 'utf8'));

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'wellwright-browsers-'));
  writeFileSync(join(folder, 'keys.json'), JSON.stringify(newVapidKeys()));
  const tls = certificate();
  setDefaultCACertificates([...trusted, tls.cert]);
  push = await pushReceiver(tls);
});
afterEach(async () => {
  setDefaultCACertificates(trusted);
  await push.close();
  rmSync(folder, { recursive: true });
});

it('tells a browser from its press on, after a restart too, until it takes it back', async () => {
  const browsers = await open();
  expect(names()).toEqual([]);
  expect(await browsers.subscribe('Upstairs', push.subscription)).toBe('browser of Upstairs');
  expect(statSync(join(folder, 'browsers.json')).mode & 0o077).toBe(0);

  const again = await open();
  expect(names()).toEqual(['browser of Upstairs']);
  expect(receivers[0]!.settings).toMatchObject({ from: 'days', wells: null });
  const notice = noticeOf({ id: 'notice-1' });
  await receivers[0]!.notifier.tell(notice);
  const [message] = push.received;
  expect(JSON.parse(push.open(message!).toString())).toMatchObject({ id: 'notice-1' });
  // The push service is told the key with which the browser subscribed (RFC 8292, section 4).
  expect(readVapid(String(message!.headers.authorization)).k).toBe(again.key);

  expect(await again.forget(push.subscription.endpoint)).toBe(true);
  expect(await again.forget(push.subscription.endpoint)).toBe(false);
  expect(names()).toEqual([]);
  expect(kept()).toEqual([]);
});

it('has one that subscribes again once, and several of one name apart', async () => {
  const browsers = await open();
  const other = { ...push.subscription, endpoint: `${push.subscription.endpoint}/2` };
  await browsers.subscribe('Upstairs', push.subscription);
  await browsers.subscribe('Upstairs', other);
  expect(names()).toEqual(['browser of Upstairs', 'browser of Upstairs 2']);
  await browsers.subscribe('Barn', push.subscription);
  expect(names()).toEqual(['browser of Upstairs 2', 'browser of Barn']);
  expect(kept()).toHaveLength(2);
});

it('forgets one that its push service has no more (RFC 8030, section 7.3)', async () => {
  const browsers = await open();
  await browsers.subscribe('Upstairs', push.subscription);
  push.answer(503);
  await expect(receivers[0]!.notifier.tell(noticeOf({}))).rejects.toMatchObject({ again: true });
  expect(names()).toHaveLength(1);
  push.answer(410);
  await expect(receivers[0]!.notifier.tell(noticeOf({}))).rejects.toBeInstanceOf(NotTold);
  expect(names()).toEqual([]);
  expect(kept()).toEqual([]);
});

it('takes no more than it should, and nothing that no browser gives', async () => {
  const browsers = await open();
  const { endpoint, keys } = push.subscription;
  const plain = { endpoint: endpoint.replace('https', 'http'), keys };
  await expect(browsers.subscribe('Upstairs', plain)).rejects.toThrow('expected an https endpoint');
  const short = { endpoint, keys: { ...keys, auth: 'AAAA' } };
  await expect(browsers.subscribe('Upstairs', short)).rejects.toBeInstanceOf(NotSubscribed);
  for (let i = 0; i < 32; i++)
    await browsers.subscribe('Upstairs', { endpoint: `${endpoint}/${i}`, keys });
  await expect(browsers.subscribe('Upstairs', push.subscription)).rejects.toThrow('at most 32');
  expect(kept()).toHaveLength(32);
});

it('does not start with a file that it did not write', async () => {
  writeFileSync(join(folder, 'browsers.json'), '[{"name": 1}]');
  await expect(open()).rejects.toThrow('browsers.json: expected the browsers that subscribed');
});
