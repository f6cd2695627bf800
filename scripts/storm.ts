/**
 * A scripted storm: a pipe bursts, the pressure sensor dies, and the power goes, for the house and
 * the service together. A rehearsed well sends live in simulated time; the receivers are real
 * servers on this machine. Prints what the keeper was told, in order.
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { SimulatedService } from '../bench/support/simulated-service.ts';
import { readAlarms } from '../src/cli/watch/read-alarms.ts';
import { newVapidKeys } from '../src/notify/vapid.ts';
import { localMoment } from '../src/report/moments.ts';
import { buildSystem } from '../src/simulation/build-system.ts';
import type { FaultSpec } from '../src/simulation/faults/faults.ts';
import { rehearse } from '../src/simulation/rehearse.ts';
import { NO_TROUBLES } from '../src/simulation/sensing/delivery.ts';
import { usualReporting } from '../src/simulation/sensing/reporting.ts';
import type { Row } from '../src/simulation/sensing/row.ts';
import { wellFileText } from '../src/simulation/well-file-text.ts';
import { httpReceiver } from '../test/support/http-receiver.ts';
import { pushReceiver } from '../test/support/push-receiver.ts';
import { wellOf } from '../test/support/rehearsed-log.ts';
import { readMail, smtpReceiver } from '../test/support/smtp-receiver.ts';

const ZONE = 'America/Denver';
const DAY_S = 86_400;
const HOUR_S = 3600;
/** A local midnight. */
const START_S = Date.parse('2026-06-01T06:00:00Z') / 1000;
const onDay = (day: number, hour: number) => day + hour / 24;
const atS = (day: number): number => START_S + day * DAY_S;

/** Days of learning, then the night of the storm, in days after the start. */
const BURST = onDay(6, 18.75);
const SENSOR_DIES = onDay(6, 21.75);
const POWER_GOES = onDay(6, 22.25);
const POWER_BACK = onDay(7, 2.5);
const MENDED = onDay(7, 9);
const SERVICE = onDay(7, 8.5);
const END = onDay(9, 22);

const FAULTS: FaultSpec[] = [
  { name: 'leak-burst', onsetDay: BURST, mendedDay: MENDED },
  { name: 'pressure-wire-open', onsetDay: SENSOR_DIES, mendedDay: MENDED },
  // It lasts five hours at severity 1.
  {
    name: 'power-out',
    onsetDay: POWER_GOES,
    severity: ((POWER_BACK - POWER_GOES) * 24) / 5,
  },
];

const system = buildSystem('B', 17);
const reporting = usualReporting('fast-while-running', 30);
const rehearsal = rehearse({
  ...{ system, timeZone: ZONE, startS: START_S, days: 10, seed: 17, faults: FAULTS, reporting },
  ...{ troubles: NO_TROUBLES, sensing: {}, bucketDays: [2] },
});

/** What the keeper knows of it. */
const well = wellOf(
  wellFileText({
    ...{ name: 'Storm house', system, seed: 17, timeZone: ZONE, reporting },
    ...{ buckets: [], services: [] },
  }),
);

const folder = mkdtempSync(join(tmpdir(), 'storm-'));
const [phone, mail, siren, heart] = [
  await pushReceiver(),
  await smtpReceiver(),
  await httpReceiver(),
  await httpReceiver(),
];
writeFileSync(join(folder, 'secret'), 'the secret of the storm\n');
writeFileSync(join(folder, 'keys.json'), JSON.stringify(newVapidKeys()));
writeFileSync(join(folder, 'phone.json'), JSON.stringify(phone.subscription));
writeFileSync(
  join(folder, 'alarms.toml'),
  `[heartbeat]
address = "${heart.url}/alive"
every = "5 min"
[[receiver]]
name = "phone"
way = "web-push"
from = "days"
quiet = ["22:00", "07:00"]
subscription_file = "phone.json"
keys_file = "keys.json"
contact = "mailto:keeper@example.org"
[[receiver]]
name = "mail"
way = "email"
host = "127.0.0.1"
port = ${mail.port}
sender = "well@example.org"
to = ["keeper@example.org"]
[[receiver]]
name = "siren"
way = "webhook"
from = "now"
address = "${siren.url}/siren"
secret_file = "secret"
`,
);

const local = (timeS: number): string =>
  localMoment(new Date(timeS * 1000).toISOString(), ZONE).slice(5);
const print = (timeS: number, who: string, says: string): void =>
  console.log(`${local(timeS)}  ${who.padEnd(8)} ${says}`);

/** What has come to a receiver since it was looked at last. */
function news(): { who: string; subject: string; text: string }[] {
  const pushed = phone.received.splice(0).map((one) => ({
    ...(JSON.parse(phone.open(one).toString()) as { subject: string; text: string }),
    who: 'phone',
  }));
  const mailed = mail.mails.splice(0).map(({ raw }) => {
    const { header, text } = readMail(raw);
    return { who: 'mail', subject: header('subject'), text };
  });
  const posted = siren.received.splice(0).map(({ body }) => ({
    ...(JSON.parse(body.toString()) as { subject: string; text: string }),
    who: 'siren',
  }));
  return [...posted, ...pushed, ...mailed];
}

const service = await SimulatedService.open({
  well,
  alarms: await readAlarms(join(folder, 'alarms.toml'), [well.id]),
  startS: START_S,
});
const whole: string[] = [];

/** Time goes by until then, in steps; the service has what the device sends. */
async function go(untilDay: number, stepS: number): Promise<void> {
  const untilS = atS(untilDay);
  while (service.nowS < untilS - 1e-3) {
    service.nowS = Math.min(service.nowS + stepS, untilS);
    const rows: Row[] = [];
    rehearsal.runUntil(service.nowS, (row) => rows.push(row));
    if (!service.isOn) continue;
    await service.take(rows);
    await service.advance();
    for (const { who, subject, text } of news()) {
      print(service.nowS, who, subject);
      if (who === 'mail') whole.push(`${local(service.nowS)}  ${subject}\n\n${text}\n`);
    }
  }
}

const happens = (says: string): void => print(service.nowS, '   --', says);

await go(BURST - 1 / 24, HOUR_S);
await go(BURST, 5);
happens('a pipe bursts');
await go(BURST + 0.75 / 24, 5);
await mail.away();
happens('the mail server is away');
await go(BURST + 1.25 / 24, 5);
await mail.back();
happens('the mail server is back');
await go(BURST + 2.5 / 24, 5);
const keeper = () => service.alarms.get(well.id)!;
const burst = keeper().alarms.find(({ urgency }) => urgency === 'now');
if (burst !== undefined) {
  keeper().acknowledge(burst.id, 'Upstairs');
  happens(`Upstairs acknowledges ${burst.fault}`);
}
await go(SENSOR_DIES, 5);
happens('a wire of the pressure sensor breaks');
await go(POWER_GOES, 5);
const beats = heart.received.length;
happens(`the power goes; ${beats} heartbeats were heard so far`);
await service.powerOff();
await go(POWER_BACK, 60);
happens(`the power is back; ${heart.received.length - beats} heartbeats were heard meanwhile`);
await service.powerOn();
await go(SERVICE, 10);
keeper().declareService('pipe and sensor wire mended', 'Upstairs', 2 * HOUR_S);
happens('Upstairs declares a service of two hours: pipe and sensor wire mended');
await go(SERVICE + 3 / 24, 10);
happens('the night is over; the well is sound again since nine');
await go(END, 60);

console.log('\nAlarms at the end, as the page shows them:\n');
for (const { id, fault, device, state, times, hiddenBy } of keeper().alarms)
  console.log(
    `${id}: ${fault}${device === null ? '' : ` (${device})`}, ${state}, came ${times} times` +
      `${hiddenBy === null ? '' : `, out of sight by ${hiddenBy}`}`,
  );
if (process.argv.includes('--whole')) console.log(`\nThe mails, whole:\n\n${whole.join('\n')}`);
else console.log('\n--whole prints the mails as well.');
await service.close();
for (const one of [phone, mail, siren, heart]) await one.close();
rmSync(folder, { recursive: true });
