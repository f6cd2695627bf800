import {
  type AlarmSettings,
  type QuietHours,
  type ReceiverSettings,
  WAYS,
} from '../model/alarm-settings.ts';
import { URGENCIES } from '../model/study.ts';
import type { WellFileIssue } from './issue.ts';
import { LineIndex } from './line-index.ts';
import { findPositions } from './positions.ts';
import { readSi } from './quantity.ts';
import { readBetween } from './settings.ts';
import { type Cell, Source } from './source.ts';
import { readToml } from './syntax.ts';
import { Table } from './table.ts';

export type AlarmFileResult =
  | { ok: true; settings: AlarmSettings }
  | { ok: false; issues: WellFileIssue[] };

const EVERY = { kind: 'time', least: '10 s', most: '1 days' } as const;
const SMTP_PORT = 587;
/** More receivers than any household has. */
const MOST_RECEIVERS = 32;

/** Reads an alarm file: who is told, how and when. All that is wrong is listed. */
export function parseAlarmFile(text: string): AlarmFileResult {
  const { root, text: readable, faults } = readToml(text);
  const lines = new LineIndex(text);
  const issues: WellFileIssue[] = faults.map(({ offset, ...rest }) => ({
    ...rest,
    ...lines.place(offset),
  }));
  if (root === null) return { ok: false, issues };
  const positions = findPositions(readable);
  const source = new Source({ text: readable, positions, lines, isWhole: issues.length === 0 });
  const settings = readRoot(new Table(source, [], root));
  issues.push(...source.issues);
  issues.sort((a, b) => a.line - b.line || a.column - b.column);
  return issues.length === 0 ? { ok: true, settings } : { ok: false, issues };
}

function readRoot(root: Table): AlarmSettings {
  const tables = root.records('receiver');
  const receivers = tables.flatMap((table) => readReceiver(table) ?? []);
  if (tables.length > MOST_RECEIVERS)
    root.cell('receiver').impossible(`at most ${MOST_RECEIVERS} receivers`);
  const names = new Set<string>();
  for (const table of tables) {
    const name = table.text('name') ?? '';
    if (names.has(name)) table.cell('name').impossible('a name of its own');
    names.add(name);
  }
  const heartbeat = readHeartbeat(root.section('heartbeat'), root.cell('heartbeat').isThere);
  const push = readPush(root.section('push'), root.cell('push').isThere);
  root.close();
  return { receivers, heartbeat, push };
}

function readHeartbeat(table: Table, isThere: boolean): AlarmSettings['heartbeat'] {
  if (!isThere) return null;
  const address = addressOf(table, 'address', ['https:', 'http:']);
  const every = table.cell('every');
  const everyS = every.isThere ? readSi(every, EVERY) : 300;
  const secretFile = table.text('secret_file');
  table.close();
  return address === null || everyS === null ? null : { address, everyS, secretFile };
}

function readPush(table: Table, isThere: boolean): AlarmSettings['push'] {
  if (!isThere) return null;
  const contact = addressOf(table, 'contact', ['mailto:', 'https:']);
  const inHouse = table.cell('in_house');
  const hosts = inHouse.isThere ? readWords(inHouse, 'names of hosts') : [];
  table.close();
  return contact === null ? null : { contact, inHouse: hosts };
}

function readReceiver(table: Table): ReceiverSettings | null {
  const { source } = table;
  const before = source.issues.length;
  const name = needText(table, 'name', 'a name such as "phone"');
  if (name !== null && !/^[a-z0-9-]{1,32}$/.test(name))
    table.cell('name').impossible('1 to 32 of a-z, 0-9 and hyphen');
  const way = readWay(table);
  const any = {
    name: name ?? '',
    from: table.choice('from', URGENCIES) ?? 'weeks',
    quiet: readQuiet(table.cell('quiet')),
    wells: table.cell('wells').isThere ? readWords(table.cell('wells'), 'ids of wells') : null,
  };
  const receiver = way === null ? null : { ...any, ...READ[way](table) };
  if (way !== null) table.close();
  return source.issues.length > before ? null : (receiver as ReceiverSettings | null);
}

/** Which keys the others may be hangs on it, so without it nothing is said of them. */
function readWay(table: Table): (typeof WAYS)[number] | null {
  if (table.cell('way').isThere) return table.choice('way', WAYS);
  const expected = `one of ${WAYS.join(', ')}`;
  const said = { code: 'missing-key', expected, found: 'nothing' } as const;
  return table.source.report([...table.path, 'way'], 'key', said);
}

const READ: Record<(typeof WAYS)[number], (table: Table) => object> = {
  webhook: (table) => ({
    way: 'webhook',
    address: addressOf(table, 'address', ['https:', 'http:']),
    secretFile: needText(table, 'secret_file', 'a file with the secret'),
  }),
  email: (table) => {
    const tls = flag(table.cell('tls'));
    return {
      way: 'email',
      host: needText(table, 'host', 'the name of a mail server'),
      port: table.whole('port', 1, 65_535) ?? (tls ? 465 : SMTP_PORT),
      tls,
      sender: mailAddress(table.need('sender', 'a mail address')),
      to: mailAddresses(table.need('to', 'a list of mail addresses')),
      ...readLogin(table),
    };
  },
  mqtt: (table) => ({
    way: 'mqtt',
    address: addressOf(table, 'address', ['mqtt:', 'mqtts:']),
    ...readLogin(table),
  }),
  'web-push': (table) => ({
    way: 'web-push',
    subscriptionFile: needText(table, 'subscription_file', 'the subscription of a browser'),
    keysFile: needText(table, 'keys_file', 'a file made by "alarms new-keys"'),
    contact: addressOf(table, 'contact', ['mailto:', 'https:']),
  }),
};

function readLogin(table: Table): { user: string | null; passwordFile: string | null } {
  const user = table.text('user');
  const passwordFile = table.text('password_file');
  if (user !== null && !table.cell('password_file').isThere)
    table.cell('user').impossible('a password_file beside it');
  return { user, passwordFile };
}

function needText(table: Table, key: string, expected: string): string | null {
  return table.need(key, expected) && table.text(key);
}

/** An address of one of these kinds, without a name or password in it. */
function addressOf(table: Table, key: string, protocols: readonly string[]): string | null {
  const expected = `an address that begins with ${protocols.join(' or ')}`;
  const text = needText(table, key, expected);
  if (text === null) return null;
  const cell = table.cell(key);
  const [, protocol = '', host = ''] = /^([a-z]+:)(?:\/\/)?([^\s/?#]+)\S*$/.exec(text) ?? [];
  if (!protocols.includes(protocol) || host === '') return cell.impossible(expected);
  if (protocol === 'mailto:' || !host.includes('@')) return text;
  return cell.report('impossible-value', 'no name or password in the address', 'one');
}

const MAIL = /^[^@\s<>]+@[^@\s<>]+$/;

function mailAddress(cell: Cell | null): string | null {
  if (cell === null) return null;
  const { given } = cell;
  if (typeof given !== 'string') return cell.wrongType('a mail address in quotes');
  return MAIL.test(given) ? given : cell.impossible('a mail address such as "well@example.org"');
}

function mailAddresses(cell: Cell | null): string[] {
  const items = cell?.items('a list of mail addresses', 1, 16) ?? [];
  return items.flatMap((item) => mailAddress(item) ?? []);
}

function readWords(cell: Cell, of: string): string[] {
  const items = cell.items(`a list of ${of}`, 1) ?? [];
  return items.flatMap((item) =>
    typeof item.given === 'string' ? item.given : (item.wrongType('text in quotes') ?? []),
  );
}

function readQuiet(cell: Cell): QuietHours | null {
  const between = cell.isThere ? readBetween(cell) : null;
  return between === null ? null : { fromS: between[0], toS: between[1] };
}

function flag(cell: Cell): boolean {
  if (!cell.isThere) return false;
  return typeof cell.given === 'boolean' ? cell.given : (cell.wrongType('true or false') ?? false);
}
