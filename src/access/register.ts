import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Role } from '../ports/gate.ts';
import { AccessError } from './access-error.ts';
import { newKey } from './key.ts';
import { ACCESS_LIMITS } from './limits.ts';
import { type Kept, keep } from './passphrase.ts';
import { writeSecret } from './secret-file.ts';

export const OWNER = 'owner';

/** Somebody who signs in at the page. */
export interface Person {
  name: string;
  role: Extract<Role, 'owner' | 'reader'>;
  passphrase: Kept;
  since: string;
}

/** A device that writes one well, or a program that reads all. */
export interface Key {
  name: string;
  /** null: it reads. */
  well: string | null;
  id: string;
  hash: string;
  since: string;
}

export interface Entries {
  version: 1;
  /** Names of this service that a keeper has given, beside those that the machine knows. */
  names: string[];
  people: Person[];
  keys: Key[];
}

const FILE = 'access.json';
/** SHA-256 in base64url. */
const HASH = /^[\w-]{43}$/;
const NAME = /^[a-z0-9-]{1,32}$/;
const DEVICE = /^([a-z0-9-]{1,32})\/([a-z0-9-]{1,32})$/;

export const registerFile = (folder: string): string => join(folder, FILE);

export function readEntries(folder: string): Entries {
  const file = registerFile(folder);
  if (!existsSync(file))
    throw new AccessError(
      `${folder}: expected access to be set up there (wellwright access set-up ${folder}), ` +
        'found nothing',
    );
  const found = parsed(file);
  if (isEntries(found)) return found;
  throw new AccessError(`${file}: expected who is let in, version 1, found something else`);
}

/** null where it is no JSON: what is in the file is secret, so that no error may show it. */
function parsed(file: string): unknown {
  try {
    return JSON.parse(readFileSync(file, 'utf8'));
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === undefined) return null;
    throw new AccessError(`${file}: expected to read who is let in, found ${code}`);
  }
}

function isEntries(found: unknown): found is Entries {
  const { version, names, people, keys } = (found ?? {}) as Partial<Entries>;
  if (version !== 1 || ![names, people, keys].every(Array.isArray)) return false;
  const isText = (...all: unknown[]) => all.every((one) => typeof one === 'string');
  const isPerson = ({ name, role, since, passphrase }: Person) =>
    isText(name, since, passphrase?.salt, passphrase?.hash) &&
    ['owner', 'reader'].includes(role) &&
    Object.values(passphrase.cost ?? { none: 0 }).every((cost) => cost > 0);
  const isKey = ({ name, well, id, hash, since }: Key) =>
    isText(name, id, hash, since, well ?? '') && HASH.test(hash);
  return (
    isText(...(names ?? [])) &&
    (people ?? []).every(isPerson) &&
    (keys ?? []).every(isKey) &&
    (people ?? []).some(({ role }) => role === 'owner')
  );
}

export const writeEntries = (folder: string, entries: Entries): void =>
  writeSecret(registerFile(folder), `${JSON.stringify(entries, null, 2)}\n`);

/** What a name that is let in means: `<well>/<device>` is a device. */
export function deviceOf(name: string): { well: string } | null {
  const well = DEVICE.exec(name)?.[1];
  return well === undefined ? null : { well };
}

/** Lets a person in, or gives one who is a new passphrase: the sessions of the old one are over. */
export async function withPerson(
  entries: Entries,
  name: string,
  { passphrase, nowS }: { passphrase: string; nowS: number },
): Promise<Entries> {
  checkName(name);
  checkPassphrase(passphrase);
  const role = name === OWNER ? 'owner' : 'reader';
  const person: Person = { name, role, passphrase: await keep(passphrase), since: instant(nowS) };
  const people = [...without(entries.people, name), person];
  checkRoom('people', people.length, ACCESS_LIMITS.people);
  return { ...entries, people };
}

/**
 * A key for a device or a program. Of the same name the old one is over: a lost device is replaced
 * by giving its name a new key, and its history goes on.
 */
export function withKey(
  entries: Entries,
  name: string,
  nowS: number,
): { entries: Entries; key: string } {
  const device = deviceOf(name);
  if (device === null) checkName(name);
  const { key, id, hash } = newKey();
  const well = device?.well ?? null;
  const keys = [...without(entries.keys, name), { name, well, id, hash, since: instant(nowS) }];
  checkRoom('keys', keys.length, ACCESS_LIMITS.keys);
  return { entries: { ...entries, keys }, key };
}

/** Shuts out whoever has this name, person and key. */
export function withoutName(entries: Entries, name: string): Entries {
  if (name === OWNER)
    throw new AccessError(
      'the owner stays: expected another name; give the owner a new passphrase instead',
    );
  const people = without(entries.people, name);
  const keys = without(entries.keys, name);
  if (people.length + keys.length < entries.people.length + entries.keys.length)
    return { ...entries, people, keys };
  const known = [...entries.people, ...entries.keys].map((one) => one.name).join(', ');
  throw new AccessError(`expected one of ${known}, found "${name}"`);
}

export function checkPassphrase(passphrase: string): void {
  const { leastPassphrase, mostPassphrase } = ACCESS_LIMITS;
  const count = [...passphrase].length;
  if (count >= leastPassphrase && count <= mostPassphrase) return;
  throw new AccessError(
    `expected a passphrase of ${leastPassphrase} to ${mostPassphrase} characters, found ${count}`,
  );
}

function checkName(name: string): void {
  if (NAME.test(name)) return;
  throw new AccessError(
    `expected a name of 1 to 32 of a-z, 0-9 and hyphen, or <well>/<device>, found "${name}"`,
  );
}

function checkRoom(what: string, count: number, most: number): void {
  if (count > most) throw new AccessError(`${what}: expected at most ${most}, found one more`);
}

const without = <T extends { name: string }>(all: readonly T[], name: string): T[] =>
  all.filter((one) => one.name !== name);

const instant = (timeS: number): string => new Date(timeS * 1000).toISOString();
