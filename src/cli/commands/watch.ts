import { existsSync, statSync } from 'node:fs';
import { readdir } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import type { PlainTopic } from '../../ingest/mqtt/plain-topics.ts';
import { atmosphericPressurePa } from '../../physics/air/atmospheric-pressure.ts';
import { formatIssue } from '../../wellfile/issue.ts';
import { parseWellFile } from '../../wellfile/parse.ts';
import { idIn, WELL_ID } from '../../wellfile/well-id.ts';
import { readNamed } from '../check/read-well.ts';
import { credentialsFrom } from '../rehearse/sender.ts';
import { readArgs, UsageError } from '../usage.ts';
import { isLoopback } from '../watch/loopback.ts';
import { WELL_FILE } from '../watch/new-wells.ts';
import { readAlarms } from '../watch/read-alarms.ts';
import { keepDays } from '../watch/retention.ts';
import { runService } from '../watch/run.ts';
import { logTo } from '../watch/say.ts';
import type { BrokenWell, KeptWell } from '../watch/service.ts';

const USAGE =
  'usage: wellwright watch --well <well.toml or folder>... [--store <file>]\n' +
  '         [--http <port>] [--mqtt <port>] [--host <address>] [--name <host>]...\n' +
  '         [--broker <address>]\n' +
  '         [--topic "<topic>=[<well>/]<channel> [<unit>]"]... [--history [<well>=]<log>]...\n' +
  '         [--trust-clock] [--keep-raw <days>] [--alarms <alarms.toml>]\n' +
  '         [--access <folder>] [--plain-mqtt <port>]';

const STORE = 'wellwright.sqlite';
/** Where it listens without TLS, and with it. */
const PLAIN = { http: 8080, mqtt: 1883 };
const SECURE = { http: 8443, mqtt: 8883 };

/** `watch`: the service, day and night. */
export async function watch(args: string[]): Promise<number> {
  const { values } = parsed(args);
  if (values.help) {
    process.stdout.write(`${USAGE}\n`);
    return 0;
  }
  const [first] = values.well;
  if (first === undefined) throw new UsageError(`expected --well <well.toml or folder>\n${USAGE}`);
  const files = await filesOf(values.well);
  const folder = isFolder(first) ? first : dirname(first);
  const { wells, broken } = await wellsOf(files);
  for (const text of values.history) addHistory(wells, broken, text);
  const { broker, alarms } = values;
  const ids = [...wells.map(({ well }) => well.id), ...broken.map(({ id }) => id)];
  checkOpened(values);
  const usual = values.access === undefined ? PLAIN : SECURE;
  const own = values.mqtt === undefined && broker !== undefined ? null : usual.mqtt;
  return runService({
    ...{ wells, broken, folder },
    store: storeFile(values.store ?? join(folder, STORE)),
    host: values.host,
    names: values.name,
    http: values.http === undefined ? usual.http : port(values.http, '--http'),
    mqtt: values.mqtt === undefined ? own : port(values.mqtt, '--mqtt'),
    plainMqtt:
      values['plain-mqtt'] === undefined ? null : port(values['plain-mqtt'], '--plain-mqtt'),
    orFree: false,
    broker:
      broker === undefined
        ? null
        : { url: address(broker), credentials: credentialsFrom(process.env) },
    topics: values.topic.map((text) => topicOf(text, wells, broken)),
    trustClock: values['trust-clock'],
    ...(alarms !== undefined && { alarms: await readAlarms(alarms, ids) }),
    ...(values.access !== undefined && { accessFolder: values.access }),
    say: logTo(process.stderr),
    ...(values['keep-raw'] !== undefined && {
      keepRawDays: keepDays(values['keep-raw'], '--keep-raw'),
    }),
  });
}

/** Nobody opens it to the house without having said who is let in. */
function checkOpened(values: { host: string; access?: string; 'plain-mqtt'?: string }): void {
  const { host, access, 'plain-mqtt': plain } = values;
  if (access !== undefined) return;
  if (!isLoopback(host))
    throw new UsageError(
      `--host ${host}: expected --access <folder> beside it, found none: whoever reaches the ` +
        'ports could read everything and send false readings. Set up who is let in first: ' +
        'wellwright access set-up <new folder>',
    );
  if (plain !== undefined)
    throw new UsageError('--plain-mqtt: expected --access <folder> beside it, found none');
}

const isFolder = (path: string): boolean =>
  statSync(path, { throwIfNoEntry: false })?.isDirectory() ?? false;

/** The files named, and those in the folders named. */
async function filesOf(named: string[]): Promise<string[]> {
  const all = named.map(async (path) => {
    if (!isFolder(path)) return [path];
    const names = (await readdir(path)).filter((name) => name.endsWith(WELL_FILE));
    return names.sort().map((name) => join(path, name));
  });
  return (await Promise.all(all)).flat();
}

/** A file that cannot be used stops its own well alone, once it is known whose it is. */
async function wellsOf(files: string[]): Promise<{ wells: KeptWell[]; broken: BrokenWell[] }> {
  const wells: KeptWell[] = [];
  const broken: BrokenWell[] = [];
  const fileOf = new Map<string, string>();
  const wrong: string[] = [];
  for (const file of files) {
    const text = await readNamed(file, 'a well file').catch((error: UsageError) => {
      wrong.push(error.message);
    });
    if (text === undefined) continue;
    const parsed = parseWellFile(text);
    const named = basename(file, WELL_FILE);
    const id = parsed.ok ? parsed.well.id : (idIn(text) ?? (WELL_ID.test(named) ? named : null));
    const says = parsed.ok ? '' : parsed.issues.map((one) => formatIssue(one, file)).join('\n');
    const same = fileOf.get(id ?? '');
    if (id === null) wrong.push(says);
    else if (same !== undefined)
      wrong.push(`${file}: expected an id of its own, found that of ${same}: ${id}`);
    else if (parsed.ok) wells.push({ file, well: parsed.well, told: parsed.told, history: [] });
    else broken.push({ file, id, says });
    if (id !== null) fileOf.set(id, file);
  }
  if (wrong.length > 0) throw new UsageError(wrong.join('\n'));
  return { wells, broken };
}

function storeFile(path: string): string {
  if (isFolder(path)) throw new UsageError(`--store: expected a file, found the folder ${path}`);
  if (existsSync(dirname(path))) return path;
  throw new UsageError(`--store: expected the folder of ${path}, found none`);
}

/** The well of that id, or without one the only well. */
function wellNamed(wells: readonly KeptWell[], id: string | undefined, option: string): KeptWell {
  const ids = wells.map(({ well }) => well.id).join(', ');
  const found = id === undefined && wells.length === 1 ? wells[0] : undefined;
  const named = found ?? wells.find(({ well }) => well.id === id);
  if (named !== undefined) return named;
  throw new UsageError(`${option}: expected one of the wells ${ids}, found "${id ?? 'none'}"`);
}

/** The same of those whose file cannot be used. */
const brokenNamed = (
  wells: readonly KeptWell[],
  broken: readonly BrokenWell[],
  id: string | undefined,
): BrokenWell | undefined =>
  id === undefined && wells.length === 0 && broken.length === 1
    ? broken[0]
    : broken.find((one) => one.id === id);

function addHistory(wells: readonly KeptWell[], broken: readonly BrokenWell[], text: string): void {
  const named = /^([a-z0-9-]{1,32})=(.+)$/.exec(text);
  const unread = brokenNamed(wells, broken, named?.[1]);
  if (unread !== undefined)
    unread.says += `\n${text}: not read in before the file is mended and the service begins anew`;
  else wellNamed(wells, named?.[1], '--history').history.push(named?.[2] ?? text);
}

function topicOf(
  text: string,
  wells: readonly KeptWell[],
  broken: readonly BrokenWell[],
): PlainTopic {
  const parts = /^(.+)=(?:([a-z0-9-]{1,32})\/)?([a-z-]+) \[(.+)\]$/.exec(text);
  if (parts === null) {
    const example = '"house/tee=ridge-house/pressure [psi]"';
    throw new UsageError(
      `--topic: expected a topic with channel and unit, as in ${example}, found "${text}"`,
    );
  }
  const [, filter = '', id, channel = '', unit = ''] = parts;
  const wellId = brokenNamed(wells, broken, id)?.id ?? wellNamed(wells, id, '--topic').well.id;
  return {
    ...{ filter, wellId, channel, unit },
    get atmospherePa() {
      // One whose file is mended is among the wells from then on.
      const kept = wells.find(({ well }) => well.id === wellId);
      return atmosphericPressurePa(kept?.well.altitudeM.value ?? Number.NaN);
    },
  };
}

function address(text: string): string {
  const url = URL.parse(text);
  if (url === null || !['mqtt:', 'mqtts:'].includes(url.protocol))
    throw new UsageError(`--broker: expected mqtt://host or mqtts://host, found "${text}"`);
  if (url.username === '' && url.password === '') return text;
  throw new UsageError(
    '--broker: expected no name or password in the address, found one: put them in the ' +
      'environment as WELLWRIGHT_USER and WELLWRIGHT_PASSWORD',
  );
}

function port(text: string, option: string): number {
  const number = Number(text);
  if (/^\d+$/.test(text) && number <= 65_535) return number;
  throw new UsageError(
    `${option}: expected a port from 0 (any free one) to 65535, found "${text}"`,
  );
}

function parsed(args: string[]) {
  return readArgs(USAGE, {
    args,
    options: {
      help: { type: 'boolean', short: 'h', default: false },
      well: { type: 'string', multiple: true, default: [] },
      store: { type: 'string' },
      http: { type: 'string' },
      name: { type: 'string', multiple: true, default: [] },
      mqtt: { type: 'string' },
      host: { type: 'string', default: '127.0.0.1' },
      broker: { type: 'string' },
      topic: { type: 'string', multiple: true, default: [] },
      history: { type: 'string', multiple: true, default: [] },
      'trust-clock': { type: 'boolean', default: false },
      'keep-raw': { type: 'string' },
      alarms: { type: 'string' },
      access: { type: 'string' },
      'plain-mqtt': { type: 'string' },
    },
  });
}
