import mqtt from 'mqtt';
import { expect, it } from 'vitest';
import { EmailNotifier } from '../../src/notify/email.ts';
import { MemoryNotifier } from '../../src/notify/memory.ts';
import { MqttNotifier } from '../../src/notify/mqtt.ts';
import { newVapidKeys, publicKeyOf } from '../../src/notify/vapid.ts';
import { WebPushNotifier } from '../../src/notify/web-push.ts';
import { WebhookNotifier } from '../../src/notify/webhook.ts';
import { type Heard, noticeOf, notifierContract } from '../contract/notifier.contract.ts';
import { httpReceiver } from '../support/http-receiver.ts';
import { has, openMosquitto } from '../support/mosquitto.ts';
import { outages } from '../support/outages.ts';
import { pushReceiver, readVapid } from '../support/push-receiver.ts';
import { certificate, readMail, smtpReceiver } from '../support/smtp-receiver.ts';

const clock = { nowS: () => Date.now() / 1000 };
const answerWithinMs = 600;
const SECRET = 'a secret of the keeper';

const heardOf = (json: string): Heard => {
  const { id, subject, text } = JSON.parse(json);
  return { id, subject, text };
};

notifierContract('in memory', async () => {
  const notifier = new MemoryNotifier();
  return {
    notifier,
    heard: () => notifier.told.map(({ id, subject, text }) => ({ id, subject, text })),
    away: async () => {
      notifier.fails = { says: 'away', again: true };
    },
    back: async () => {
      notifier.fails = null;
    },
    refuse: (how) => {
      notifier.fails = { says: 'refused', again: how === 'for-a-while' };
    },
    mute: null,
    secrets: [],
    close: () => notifier.close(),
  };
});

notifierContract('webhook', async () => {
  const receiver = await httpReceiver();
  const address = `${receiver.url}/hook?key=hidden`;
  const notifier = new WebhookNotifier({ address, secret: SECRET, clock, answerWithinMs });
  return {
    ...receiver,
    notifier,
    heard: () => receiver.received.map(({ body }) => heardOf(body.toString())),
    refuse: (how) => receiver.answer(how === 'for-good' ? 400 : 503),
    secrets: [SECRET, 'hidden'],
  };
});

notifierContract('e-mail', async () => {
  const receiver = await smtpReceiver();
  const notifier = new EmailNotifier({
    host: '127.0.0.1',
    port: receiver.port,
    tls: false,
    sender: 'well@example.org',
    to: ['keeper@example.org', 'other@example.org'],
    login: null,
    answerWithinMs,
  });
  return {
    ...receiver,
    notifier,
    heard: () =>
      receiver.mails.map(({ raw }) => {
        const { header, text } = readMail(raw);
        const id = /<(.+)@example\.org>/.exec(header('message-id'))?.[1] ?? '';
        return { id, subject: header('subject'), text };
      }),
    refuse: (how) => receiver.refuse(how === 'for-good' ? 550 : 451),
    secrets: [],
    close: async () => {
      await notifier.close();
      await receiver.close();
    },
  };
});

notifierContract('web push', async () => {
  const receiver = await pushReceiver();
  const keys = newVapidKeys();
  const contact = 'mailto:keeper@example.org';
  const { subscription } = receiver;
  const notifier = new WebPushNotifier({ subscription, keys, contact, clock, answerWithinMs });
  return {
    ...receiver,
    notifier,
    heard: () => receiver.received.map((one) => heardOf(receiver.open(one).toString())),
    refuse: (how) => receiver.answer(how === 'for-good' ? 410 : 429),
    secrets: ['a-secret-path', keys.d],
  };
});

const hasMosquitto = has('mosquitto');

if (hasMosquitto)
  notifierContract('MQTT, with another broker', async () => {
    let broker = await openMosquitto();
    const { port, url } = broker;
    const heard: Heard[] = [];
    const listen = async () => {
      const client = await mqtt.connectAsync(url);
      client.on('message', (_topic, payload) => heard.push(heardOf(payload.toString())));
      await client.subscribeAsync('wells/+/alarms', { qos: 1 });
      return client;
    };
    let listener = await listen();
    const notifier = new MqttNotifier({ address: url, login: null, answerWithinMs });
    // The broker has it once it says so; who listens has it a moment after that.
    const tell = async (notice: Parameters<typeof notifier.tell>[0]) => {
      await notifier.tell(notice);
      for (let tries = 0; tries < 100 && !heard.some(({ id }) => id === notice.id); tries++)
        await new Promise((resolve) => setTimeout(resolve, 10));
    };
    const away = async () => {
      await listener.endAsync(true);
      await broker.close();
    };
    const comes = async (at: number) => {
      broker = await openMosquitto(at);
      listener = await listen();
    };
    const broken = outages(port, { away, listen: comes });
    return {
      ...broken,
      notifier: { tell, close: () => notifier.close() },
      heard: () => heard,
      // MQTT 3.1.1 has no word by which a broker refuses a message.
      refuse: null,
      secrets: [],
      close: async () => {
        await notifier.close();
        await broken.close();
      },
    };
  });

it.runIf(has('openssl'))(
  'mail with a password goes over TLS only, and no trouble shows it',
  async () => {
    const login = { user: 'well', password: 'a password of the keeper' };
    const tls = certificate();
    const options = {
      host: '127.0.0.1',
      tls: false,
      sender: 'well@example.org',
      to: ['keeper@example.org'],
      trusted: tls.cert,
      answerWithinMs,
    };
    const sound = await smtpReceiver({ login, tls });
    const plain = await smtpReceiver({ login });
    try {
      const right = new EmailNotifier({ ...options, port: sound.port, login });
      await right.tell(noticeOf());
      expect(sound.mails).toMatchObject([{ secure: true, user: 'well', to: options.to }]);
      expect(readMail(sound.mails[0]!.raw).header('importance')).toBe('high');

      const other = { user: 'well', password: 'another secret password' };
      const wrong = new EmailNotifier({ ...options, port: sound.port, login: other });
      const refused = await wrong.tell(noticeOf()).catch((error: Error) => error);
      expect(refused).toMatchObject({ again: true });
      expect((refused as Error).message).not.toContain(other.password);

      const open = new EmailNotifier({ ...options, port: plain.port, login });
      await expect(open.tell(noticeOf())).rejects.toMatchObject({ again: true });
      expect(plain.mails).toEqual([]);
      for (const one of [right, wrong, open]) await one.close();
    } finally {
      await sound.close();
      await plain.close();
    }
  },
);

it('a push service sees who sends, how urgent it is, and nothing of what is said', async () => {
  const receiver = await pushReceiver();
  const keys = newVapidKeys();
  const contact = 'mailto:keeper@example.org';
  const { subscription } = receiver;
  const notifier = new WebPushNotifier({ subscription, keys, contact, clock });
  try {
    const long = `${noticeOf().text}\n\n${'Seen: much. '.repeat(800)}`;
    await notifier.tell(noticeOf({ text: long }));
    const [message] = receiver.received;
    const { headers, body } = message!;
    expect(headers).toMatchObject({ 'content-encoding': 'aes128gcm', urgency: 'high' });
    expect(Number(headers.ttl)).toBeGreaterThan(0);
    const { claims, k } = readVapid(headers.authorization!);
    expect(k).toBe(publicKeyOf(keys));
    expect(claims).toMatchObject({ aud: receiver.url, sub: contact });
    // RFC 8292, section 2: not more than 24 hours ahead.
    expect(Number(claims.exp) - clock.nowS()).toBeLessThan(86_400);
    expect(body.length).toBeLessThanOrEqual(4096);
    expect(body.toString('latin1')).not.toContain('burst');
    // What is too long loses its end: what to do and its caution stay.
    expect(heardOf(receiver.open(message!).toString()).text).toBe(noticeOf().text);
    for (const text of ['', 'é'.repeat(9000)]) {
      await notifier.tell(noticeOf({ subject: 'S'.repeat(5000), text }));
      const heard = heardOf(receiver.open(receiver.received.at(-1)!).toString());
      expect(heard.subject).toMatch(/^S{3000,}$/);
      expect(heard.text).toBe('');
    }
    await expect(notifier.tell(noticeOf({ wellName: 'W'.repeat(5000) }))).rejects.toThrow(
      'too long for a push',
    );
  } finally {
    await receiver.close();
  }
});
