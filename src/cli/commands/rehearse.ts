import { mkdir, writeFile } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { rehearse as rehearsalOf } from '../../simulation/rehearse.ts';
import type { Scenario } from '../../simulation/scenario.ts';
import { wellFileText } from '../../simulation/well-file-text.ts';
import { HttpSender } from '../rehearse/http-sender.ts';
import { sendLive } from '../rehearse/live.ts';
import { LogWriter } from '../rehearse/log-writer.ts';
import { MqttSender } from '../rehearse/mqtt-sender.ts';
import { packOf } from '../rehearse/pack.ts';
import { prepare, textFrom } from '../rehearse/prepare.ts';
import { faultNamed, readScenario, type ScenarioFile } from '../rehearse/scenario-file.ts';
import { credentialsFrom, type Please, type Sender } from '../rehearse/sender.ts';
import { readArgs, UsageError } from '../usage.ts';

const USAGE =
  'usage: wellwright rehearse [<scenario.toml>] [--well <well.toml> | --system <letter>]\n' +
  '         [--fault <name>]... [--from-day <n>] [--severity <x>] [--days <n>] [--seed <n>]\n' +
  '         (--out <folder> | --to <address> [--faster <n>])';

const DAY_S = 86_400;

/** `rehearse`: a well of known truth, as files or as a device that reports to a service. */
export async function rehearse(args: string[]): Promise<number> {
  const { values, positionals } = parsed(args);
  if (values.help) {
    process.stdout.write(`${USAGE}\n`);
    return 0;
  }
  const [path] = positionals;
  const text = path === undefined ? '' : await textFrom(path, 'a scenario file');
  const file = readScenario(text, path ?? 'scenario');
  override(file, values);
  const scenario = await prepare(file, path ?? 'scenario');
  if (values.to !== undefined) {
    const faster = number(values.faster, '--faster');
    if (faster === 0) throw new UsageError('--faster: expected a number above 0, found 0');
    return live(scenario, { address: values.to, faster, channels: file.channels });
  }
  if (values.out === undefined) throw new UsageError(`expected --out or --to\n${USAGE}`);
  return toFiles(file, scenario, values.out);
}

type Values = ReturnType<typeof parsed>['values'];

/** What the command line says stands above what the file says. */
function override(file: ScenarioFile, values: Values): void {
  if (values.well !== undefined) file.well = resolve(values.well);
  if (values.system !== undefined) {
    file.system = values.system;
    file.well = null;
  }
  if (values.days !== undefined) file.days = whole(values.days, '--days');
  if (values.seed !== undefined) file.seed = whole(values.seed, '--seed');
  const onsetDay = number(values['from-day'], '--from-day');
  const severity = number(values.severity, '--severity');
  for (const fault of values.fault) {
    file.faults.push({ name: faultNamed(fault), onsetDay, severity });
  }
}

async function toFiles(file: ScenarioFile, scenario: Scenario, folder: string): Promise<number> {
  await mkdir(folder, { recursive: true });
  const at = (ending: string) => join(folder, `${file.name}.${ending}`);
  const rehearsal = rehearsalOf(scenario);
  const writer = new LogWriter(at('csv.gz'), file.channels);
  const beganMs = performance.now();
  rehearsal.run((row) => writer.take(row));
  const tookS = (performance.now() - beganMs) / 1000;
  await writer.close();
  const { system, seed, timeZone, startS, reporting } = scenario;
  const services = file.services.map(({ onDay, ...rest }) => ({
    ...rest,
    onS: startS + onDay * DAY_S + 15 * 3600,
  }));
  const well = wellFileText({
    name: file.name,
    system,
    seed,
    timeZone,
    reporting,
    buckets: rehearsal.buckets(),
    tests: rehearsal.tests(),
    services,
  });
  await writeFile(at('well.toml'), well);
  await writeFile(at('truth.json'), `${JSON.stringify(rehearsal.truth())}\n`);
  const speed = Math.round((scenario.days * DAY_S) / tookS);
  process.stdout.write(
    `${at('csv.gz')}: ${writer.rows} rows of ${scenario.days} days, ` +
      `${speed} s rehearsed a second\n` +
      `${at('well.toml')}: the well as its keeper knows it\n` +
      `${at('truth.json')}: what really happened\n`,
  );
  return 0;
}

interface Live {
  address: string;
  faster: number;
  channels: ScenarioFile['channels'];
}

async function live(scenario: Scenario, { address, faster, channels }: Live): Promise<number> {
  const { startS } = scenario;
  const rehearsal = rehearsalOf(scenario);
  const { endS } = rehearsal;
  const sender = await senderTo(address, (ask) => rehearsal.please(ask));
  const sent = await sendLive(rehearsal, {
    startS,
    endS,
    faster,
    sender,
    packOf: (row) => packOf(row, channels),
  });
  if (sent.failure instanceof UsageError) {
    throw new UsageError(
      `${sent.failure.message}\n${sent.answered} rows acknowledged, ${sent.unanswered} not sent`,
    );
  }
  if (sent.failure !== null) throw sent.failure;
  await sender.close();
  const { refused } = sender;
  const taken = refused === 0 ? 'all acknowledged' : `${refused} of them refused, see above`;
  process.stdout.write(`${sent.answered} rows sent to ${address}, ${taken}\n`);
  return refused === 0 ? 0 : 1;
}

/** The way to an address, by what it begins with. */
async function senderTo(address: string, please: (ask: Please) => void): Promise<Sender> {
  const url = URL.parse(address);
  const expected = 'expected an address that begins with http, https, mqtt or mqtts';
  if (url === null) throw new UsageError(`--to: ${expected}, found "${address}"`);
  if (url.username !== '' || url.password !== '') {
    throw new UsageError(
      '--to: expected no name or password in the address, found one: put them in the ' +
        'environment as WELLWRIGHT_USER and WELLWRIGHT_PASSWORD',
    );
  }
  const credentials = credentialsFrom(process.env);
  const say = (line: string) => process.stderr.write(`${line}\n`);
  const { protocol } = url;
  if (protocol === 'http:' || protocol === 'https:') {
    return new HttpSender({ address, credentials, say });
  }
  if (protocol === 'mqtt:' || protocol === 'mqtts:') {
    return MqttSender.connect({ address, credentials, say, please });
  }
  throw new UsageError(`--to: ${expected}, found "${address}"`);
}

function parsed(args: string[]) {
  return readArgs(USAGE, {
    args,
    allowPositionals: true,
    options: {
      help: { type: 'boolean', short: 'h', default: false },
      well: { type: 'string' },
      system: { type: 'string' },
      fault: { type: 'string', multiple: true, default: [] },
      'from-day': { type: 'string', default: '5' },
      severity: { type: 'string', default: '1' },
      days: { type: 'string' },
      seed: { type: 'string' },
      out: { type: 'string' },
      to: { type: 'string' },
      faster: { type: 'string', default: '1' },
    },
  });
}

function number(text: string, option: string): number {
  const value = Number(text);
  if (text.trim() !== '' && value >= 0 && Number.isFinite(value)) return value;
  throw new UsageError(`${option}: expected a number from 0 on, found "${text}"`);
}

function whole(text: string, option: string): number {
  const value = number(text, option);
  if (Number.isInteger(value)) return value;
  throw new UsageError(`${option}: expected a whole number, found "${text}"`);
}
