/**
 * How long it takes from the reading that decides to the alarm at each receiver;
 * docs/alarms.md says what the figures mean.
 *
 *   node bench/alarms.ts [--cases 50] [--notices 300]
 *
 * First by the clock of the service, in simulated time: wells of known truth whose motor stalls or
 * whose pump runs dry, readings each second while the pump runs. And the way to each receiver by
 * the clock on the wall: real servers on this machine.
 */

import { parseArgs } from 'node:util';
import mqtt from 'mqtt';
import type { Notice } from '../src/model/alarm.ts';
import { EmailNotifier } from '../src/notify/email.ts';
import { MqttNotifier } from '../src/notify/mqtt.ts';
import { newVapidKeys } from '../src/notify/vapid.ts';
import { WebPushNotifier } from '../src/notify/web-push.ts';
import { WebhookNotifier } from '../src/notify/webhook.ts';
import type { Notifier } from '../src/ports/notifier.ts';
import type { RehearsedFault } from '../src/simulation/faults/faults.ts';
import { noticeOf } from '../test/contract/notifier.contract.ts';
import { httpReceiver } from '../test/support/http-receiver.ts';
import { has, openMosquitto } from '../test/support/mosquitto.ts';
import { pushReceiver } from '../test/support/push-receiver.ts';
import { rehearsedLog, studied } from '../test/support/rehearsed-log.ts';
import { smtpReceiver } from '../test/support/smtp-receiver.ts';
import { joined } from '../test/watch/joined.ts';
import { SimulatedService } from './support/simulated-service.ts';

const { values } = parseArgs({
  options: {
    cases: { type: 'string', default: '50' },
    notices: { type: 'string', default: '300' },
  },
});
const CASES = Number(values.cases);
const NOTICES = Number(values.notices);
const FAULTS: readonly RehearsedFault[] = ['rotor-locked', 'running-dry'];
/** A reading at rest every so many seconds. */
const REST_S = [5, 30];
const LETTERS = 'ABCDEHJ';
/** Nothing is told of a finding that takes longer than this, s. */
const GIVEN_UP_S = 600;

/** Of a hundred, so many lie below. */
function quantile(sorted: readonly number[], share: number): number {
  return sorted[Math.min(Math.ceil(share * sorted.length), sorted.length) - 1] ?? Number.NaN;
}

function report(what: string, all: readonly number[], unit: string, digits: number): void {
  const sorted = all.toSorted((a, b) => a - b);
  const at = (share: number) => quantile(sorted, share).toFixed(digits).padStart(7);
  console.log(
    `${what.padEnd(44)} ${String(sorted.length).padStart(5)} ${at(0.5)} ${at(0.99)} ` +
      `${at(1)} ${unit}`,
  );
}

/** Seconds from the deciding reading until the service has told; null where there was none. */
async function timeToTell(k: number, restS: number): Promise<number | null> {
  const letter = LETTERS[k % LETTERS.length]!;
  const name = FAULTS[k % FAULTS.length]!;
  const faults = [{ name, onsetDay: 1.3 }];
  const log = rehearsedLog({ letter, days: 2, seed: 100 + k, restS, faults });
  const finding = studied(log).findings.find(({ urgency }) => urgency === 'now');
  if (finding === undefined) return null;
  const raisedS = Date.parse(finding.raised) / 1000;
  let told = false;
  const service = await SimulatedService.open({
    well: log.well,
    alarms: { settings: { receivers: [], heartbeat: null, push: null }, folder: '.' },
    startS: log.timeS[0]! - 1,
    tell: (event) => {
      if (event.kind === 'alarm' && event.entry.what === 'notice') told = true;
    },
  });
  try {
    let at = 0;
    const takeUpTo = async (timeS: number): Promise<void> => {
      const from = at;
      while (at < log.timeS.length && log.timeS[at]! <= timeS) at += 1;
      await service.takeReadings(log, from, at);
    };
    service.nowS = raisedS - 120;
    await takeUpTo(service.nowS);
    await service.advance();
    // The service looks once a second, anywhere between two readings.
    service.nowS += (k % 10) / 10;
    while (!told && service.nowS < raisedS + GIVEN_UP_S) {
      service.nowS += 1;
      await takeUpTo(service.nowS);
      await service.advance();
    }
    return told ? service.nowS - raisedS : null;
  } finally {
    await service.close();
  }
}

/** Milliseconds until the receiver has it, one notice after the other. */
async function way(what: string, notifier: Notifier, has: () => number): Promise<void> {
  const text = 'Caution: what an alarm says is about so long. '.repeat(40);
  const taken: number[] = [];
  for (let i = 0; i < NOTICES; i++) {
    const beganMs = performance.now();
    await notifier.tell(noticeOf({ id: `notice-${i}`, text }));
    while (has() <= i) await new Promise((resolve) => setImmediate(resolve));
    taken.push(performance.now() - beganMs);
  }
  report(what, taken, 'ms', 1);
  await notifier.close();
}

/** The same to who has the page open: events of the whole service over HTTP. */
async function pageEvents(): Promise<void> {
  const on = await joined(['name = "Ridge house"\n']);
  const stop = new AbortController();
  const response = await fetch(`${on.api}/events`, { signal: stop.signal });
  let heard = 0;
  const reading = (async () => {
    for await (const piece of response.body!.pipeThrough(new TextDecoderStream()))
      heard += piece.split('event: alarm\n').length - 1;
  })().catch(() => undefined);
  const at = new Date().toISOString();
  const tell = async (notice: Notice) => {
    const entry = { what: 'notice' as const, notice, to: [] };
    on.service.feed.tell({ kind: 'alarm', well: 'ridge-house', at, entry });
  };
  await way('the page, events over HTTP', { tell, close: async () => {} }, () => heard);
  stop.abort();
  await reading;
  await on.close();
}

const clock = { nowS: () => Date.now() / 1000 };
console.log(`${''.padEnd(44)}  cases  median    99 %   worst`);

const [hook, mail, push] = [await httpReceiver(), await smtpReceiver(), await pushReceiver()];
const secret = 'a secret of the bench';
await way(
  'webhook, HTTP server',
  new WebhookNotifier({ address: hook.url, secret, clock }),
  () => hook.received.length,
);
await way(
  'e-mail, SMTP server',
  new EmailNotifier({
    ...{ host: '127.0.0.1', port: mail.port, tls: false, login: null },
    ...{ sender: 'well@example.org', to: ['keeper@example.org'] },
  }),
  () => mail.mails.length,
);
const keys = newVapidKeys();
const { subscription } = push;
const contact = 'mailto:keeper@example.org';
await way(
  'web push, HTTP server as push service',
  new WebPushNotifier({ subscription, keys, contact, clock }),
  () => push.received.length,
);
if (has('mosquitto')) {
  const broker = await openMosquitto();
  let heard = 0;
  const listener = await mqtt.connectAsync(broker.url);
  listener.on('message', () => {
    heard += 1;
  });
  await listener.subscribeAsync('wells/+/alarms', { qos: 1 });
  const notifier = new MqttNotifier({ address: broker.url, login: null });
  await way('MQTT, broker and who listens there', notifier, () => heard);
  await listener.endAsync();
  await broker.close();
}
await pageEvents();
for (const one of [hook, mail, push]) await one.close();

for (const restS of REST_S) {
  const took: number[] = [];
  for (let k = 0; k < CASES; k++) {
    const s = await timeToTell(k, restS);
    if (s !== null) took.push(s);
  }
  report(`deciding reading to notice, rest every ${restS} s`, took, 's', 1);
}
