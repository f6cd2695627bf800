import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt from 'mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import { alarms as alarmsCommand } from '../../src/cli/commands/alarms.ts';
import { UsageError } from '../../src/cli/usage.ts';
import { readAlarms } from '../../src/cli/watch/read-alarms.ts';
import { isGenuine } from '../../src/notify/signature.ts';
import { newVapidKeys } from '../../src/notify/vapid.ts';
import { httpReceiver } from '../support/http-receiver.ts';
import { pushReceiver } from '../support/push-receiver.ts';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { readMail, smtpReceiver } from '../support/smtp-receiver.ts';
import { joined } from './joined.ts';
import { until } from './until.ts';

const SECRET = 'a secret of the keeper, long enough';
const open: { close(): Promise<unknown> }[] = [];
const folders: string[] = [];
afterEach(async () => {
  for (const one of open.splice(0).reverse()) await one.close();
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true });
});

/** An alarm file with a receiver of each kind, and the receivers. */
async function everyReceiver() {
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-alarms-'));
  folders.push(folder);
  const [hook, mail, push, heart] = [
    await httpReceiver(),
    await smtpReceiver(),
    await pushReceiver(),
    await httpReceiver(),
  ];
  open.push(hook, mail, push, heart);
  writeFileSync(join(folder, 'secret'), `${SECRET}\n`);
  writeFileSync(join(folder, 'keys.json'), JSON.stringify(newVapidKeys()));
  writeFileSync(join(folder, 'phone.json'), JSON.stringify(push.subscription));
  const file = join(folder, 'alarms.toml');
  writeFileSync(
    file,
    [
      '[heartbeat]',
      `address = "${heart.url}/alive"`,
      'every = "10 s"',
      'secret_file = "secret"',
      '[[receiver]]\nname = "hook"\nway = "webhook"',
      `address = "${hook.url}/well"\nsecret_file = "secret"`,
      '[[receiver]]\nname = "mail"\nway = "email"\nhost = "127.0.0.1"',
      `port = ${mail.port}\nsender = "well@example.org"\nto = ["keeper@example.org"]`,
      '[[receiver]]\nname = "phone"\nway = "web-push"\nsubscription_file = "phone.json"',
      'keys_file = "keys.json"\ncontact = "mailto:keeper@example.org"',
      '',
    ].join('\n'),
  );
  return { folder, file, hook, mail, push, heart };
}

/** A well whose motor stalls at the end of its log. */
const stalled = () =>
  rehearsedLog({
    letter: 'C',
    days: 2,
    seed: 61,
    restS: 60,
    faults: [{ name: 'rotor-locked', onsetDay: 1.5 }],
  });

describe('the service tells of an alarm', () => {
  it('to each receiver, on MQTT and in its record, and takes what a keeper does', async () => {
    const { file, hook, mail, push, heart } = await everyReceiver();
    const log = stalled();
    const { id } = log.well;
    const options = await readAlarms(file, [id]);
    const on = await joined([log.toml], { alarms: options });
    open.push(on);
    const listener = await mqtt.connectAsync(`mqtt://127.0.0.1:${on.service.ports.mqtt}`);
    open.push({ close: () => listener.endAsync() });
    const published: { subject: string }[] = [];
    listener.on('message', (_topic, payload) => published.push(JSON.parse(payload.toString())));
    await listener.subscribeAsync(`wells/${id}/alarms`, { qos: 1 });

    const nowS = Date.now() / 1000;
    const shiftS = nowS - 60 - log.timeS.at(-1)!;
    for (let from = 0; from < log.timeS.length; from += 400) {
      const pack = log.timeS.slice(from, from + 400).map((timeS, i) => ({
        ...(log.channel[from + i] === 0 ? { n: 'pressure', u: 'Pa' } : { n: 'current', u: 'A' }),
        v: log.value[from + i],
        t: timeS + shiftS,
      }));
      expect((await on.post(id, JSON.stringify(pack))).status).toBe(200);
    }
    await until(() => hook.received.length > 0 && mail.mails.length > 0 && published.length > 0);
    await until(() => push.received.length > 0);
    const [posted] = hook.received;
    const body = posted!.body.toString();
    const { headers } = posted!;
    const signed = {
      time: String(headers['wellwright-time']),
      signature: String(headers['wellwright-signature']),
    };
    expect(isGenuine(SECRET, body, signed, nowS)).toBe(true);
    const notice = JSON.parse(body);
    expect(notice).toMatchObject({ kind: 'raised', urgency: 'now', well: id });
    expect(readMail(mail.mails[0]!.raw).header('subject')).toBe(notice.subject);
    expect(JSON.parse(push.open(push.received[0]!).toString()).id).toBe(notice.id);
    expect(published[0]!.subject).toBe(notice.subject);

    const { body: shown } = await on.get(`wells/${id}/alarms`);
    const alarm = shown.standing.find((one: { id: string }) => one.id === notice.alarm);
    expect(alarm).toMatchObject({ state: 'unacknowledged', urgency: 'now' });
    for (const part of ['title', 'consequence', 'timeToAct', 'action'])
      expect(alarm[part].length).toBeGreaterThan(10);
    expect(alarm.cautions.length).toBeGreaterThan(0);

    const ask = async (path: string, asked: unknown, type = 'application/json') => {
      const response = await fetch(`${on.api}/wells/${id}/${path}`, {
        method: 'POST',
        headers: { 'content-type': type },
        body: JSON.stringify(asked),
      });
      // biome-ignore lint/suspicious/noExplicitAny: answers of several routes
      return { status: response.status, body: (await response.json()) as any };
    };
    const one = `alarms/${alarm.id}`;
    expect((await ask(`${one}/shelve`, { by: 'Upstairs', hours: 13 })).body.code).toBe(
      'not-possible',
    );
    expect((await ask(`${one}/shelve`, { by: 'Upstairs', hours: 2 })).body.shelved.by).toBe(
      'Upstairs',
    );
    expect((await ask(`${one}/unshelve`, { by: 'Upstairs' })).body.shelved).toBeNull();
    expect((await ask(`${one}/acknowledge`, { by: 'Upstairs' })).body.state).toBe('acknowledged');
    expect((await ask(`${one}/acknowledge`, { by: 'Upstairs' })).status).toBe(409);
    expect((await ask('alarms/alarm-99/acknowledge', { by: 'Upstairs' })).body.code).toBe(
      'unknown-alarm',
    );
    expect((await ask(`${one}/acknowledge`, { by: 'Upstairs' }, 'text/plain')).status).toBe(415);
    expect((await ask(`${one}/acknowledge`, { by: '' })).status).toBe(400);
    expect((await ask(`${one}/acknowledge`, { by: 'x'.repeat(9000) })).status).toBe(413);
    const declared = await ask('service', { by: 'Upstairs', did: 'new motor', hours: 3 });
    expect(Date.parse(declared.body.until) - Date.parse(declared.body.from)).toBe(3 * 3_600_000);
    expect((await on.get(`wells/${id}/alarms`)).body.service.did).toBe('new motor');
    expect((await ask('service/end', { by: 'Upstairs' })).body).toEqual({ ended: true });
    const before = hook.received.length;
    expect((await ask('alarms/test', { by: 'Upstairs' })).body.told).toHaveLength(3);
    expect(hook.received.length).toBe(before + 1);

    const { body: record } = await on.get(`wells/${id}/alarm-record`);
    const whats = record.entries.map(({ what }: { what: string }) => what);
    for (const what of ['seen', 'raised', 'notice', 'told', 'delivery', 'acknowledged', 'shelved'])
      expect(whats).toContain(what);
    const first = (await on.get(`wells/${id}/alarm-record?most=3`)).body;
    expect(first.entries).toEqual(record.entries.slice(0, 3));
    const rest = (await on.get(`wells/${id}/alarm-record?from=${first.next}`)).body;
    expect(rest.entries[0]).toEqual(record.entries[3]);

    expect(JSON.parse(heart.received[0]!.body.toString())).toMatchObject({
      well: true,
      wells: [{ well: id }],
    });
    // Nothing of a secret is in the log.
    expect(JSON.stringify(on.said)).not.toContain(SECRET);
  });
});

describe('./wellwright alarms', () => {
  it('sends a test to each receiver, and says where it does not arrive', async () => {
    const { file, hook, mail, push } = await everyReceiver();
    expect(await alarmsCommand(['test', file])).toBe(0);
    expect(JSON.parse(hook.received[0]!.body.toString()).kind).toBe('test');
    expect(readMail(mail.mails[0]!.raw).text).toContain('Nothing is wrong');
    expect(push.received).toHaveLength(1);
    await mail.away();
    expect(await alarmsCommand(['test', file, 'mail'])).toBe(1);
    await mail.back();
    await expect(alarmsCommand(['test', file, 'fax'])).rejects.toThrow(
      'expected one of hook, mail, phone, found "fax"',
    );
  });

  it('makes secrets and keys for their owner alone, and over no file', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'wellwright-alarms-'));
    folders.push(folder);
    const { statSync } = await import('node:fs');
    for (const name of ['new-secret', 'new-keys']) {
      const file = join(folder, name);
      expect(await alarmsCommand([name, file])).toBe(0);
      expect(statSync(file).mode & 0o777).toBe(0o600);
      await expect(alarmsCommand([name, file])).rejects.toThrow('found EEXIST');
    }
  });

  it('says what of the settings cannot be used, without what is secret', async () => {
    const { file, folder } = await everyReceiver();
    writeFileSync(join(folder, 'secret'), 'too short');
    writeFileSync(join(folder, 'phone.json'), '{"endpoint":"https://push.example"}');
    expect(await alarmsCommand(['test', file])).toBe(1);
    const options = await readAlarms(file, []);
    await expect(joined(['name = "Barn"\n'], { alarms: options })).rejects.toThrow(
      /^(secret|phone.json): expected /,
    );
    await expect(readAlarms(join(folder, 'none.toml'), [])).rejects.toThrow(UsageError);
  });
});
