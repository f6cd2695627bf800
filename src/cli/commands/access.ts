import { readdir } from 'node:fs/promises';
import { AccessError } from '../../access/access-error.ts';
import { makeCertificates, shownAuthority } from '../../access/certificates.ts';
import { letInByKey, shutOut } from '../../access/devices.ts';
import { newPassphrase } from '../../access/passphrase.ts';
import {
  checkPassphrase,
  deviceOf,
  type Entries,
  OWNER,
  readEntries,
  withPerson,
  writeEntries,
} from '../../access/register.ts';
import { makeSecretFolder } from '../../access/secret-file.ts';
import { typedSecret } from '../access/typed-secret.ts';
import { readArgs, UsageError } from '../usage.ts';

const USAGE =
  'usage: wellwright access set-up <new folder> [--name <host name or address>]... [--typed]\n' +
  '       wellwright access let-in <folder> <well>/<device>\n' +
  '       wellwright access let-in <folder> <name> [--typed | --key]\n' +
  '       wellwright access shut-out <folder> <name>\n' +
  '       wellwright access new-certificates <folder> [--name <host name or address>]...\n' +
  '       wellwright access show <folder>';

type Values = ReturnType<typeof parsed>['values'];

const JOBS: Record<string, (folder: string, values: Values, name: string) => Promise<string>> = {
  'set-up': setUp,
  'let-in': letIn,
  'shut-out': async (folder, _values, name) => {
    shutOut(folder, name);
    return `${name} is shut out; a service that runs knows it within a second or two.\n`;
  },
  'new-certificates': async (folder, values) => {
    const entries = readEntries(folder);
    const given = [...new Set([...entries.names, ...values.name])];
    const names = await makeCertificates(folder, given, nowS());
    writeEntries(folder, { ...entries, names });
    return `${authorityText(folder)}Phones and devices are to trust this one from now on.\n`;
  },
  show: async (folder) => shown(folder, readEntries(folder)),
};

/** `access`: who is let in, and by what this service proves that it is itself. */
export async function access(args: string[]): Promise<number> {
  const { values, positionals } = parsed(args);
  if (values.help) {
    process.stdout.write(`${USAGE}\n`);
    return 0;
  }
  const [job = '', folder, name = '', ...rest] = positionals;
  const does = Object.hasOwn(JOBS, job) ? JOBS[job] : undefined;
  if (does === undefined) {
    const found = job === '' ? 'none' : `"${job}"`;
    throw new UsageError(
      `expected one of ${Object.keys(JOBS).join(', ')}, found ${found}\n${USAGE}`,
    );
  }
  if (folder === undefined) throw new UsageError(`expected a folder, found none\n${USAGE}`);
  const needsName = job === 'let-in' || job === 'shut-out';
  if (needsName !== (name !== '') || rest.length > 0) {
    const found = [name, ...rest].filter((one) => one !== '').join(' ');
    throw new UsageError(
      `expected ${needsName ? 'one name' : 'no name'}, found "${found}"\n${USAGE}`,
    );
  }
  checkOptions(job, values);
  try {
    process.stdout.write(await does(folder, values, name));
    return 0;
  } catch (error) {
    if (error instanceof AccessError) throw new UsageError(error.message);
    throw error;
  }
}

/** Which options each takes. */
const TAKES: Record<string, (keyof Values)[]> = {
  'set-up': ['name', 'typed'],
  'let-in': ['typed', 'key'],
  'new-certificates': ['name'],
};

function checkOptions(job: string, { name, typed, key }: Values): void {
  const given = { name: name.length > 0, typed, key };
  for (const [option, isGiven] of Object.entries(given))
    if (isGiven && !TAKES[job]?.some((one) => one === option))
      throw new UsageError(`${job}: expected no --${option}, found one\n${USAGE}`);
}

async function setUp(folder: string, values: Values): Promise<string> {
  makeSecretFolder(folder);
  const there = await readdir(folder);
  if (there.length > 0)
    throw new UsageError(`${folder}: expected a new folder, found ${there.length} files in it`);
  const { passphrase, says } = await passphraseFor(OWNER, values);
  const names = await makeCertificates(folder, values.name, nowS());
  const nobody: Entries = { version: 1, names, people: [], keys: [] };
  writeEntries(folder, await withPerson(nobody, OWNER, { passphrase, nowS: nowS() }));
  return (
    `${says}${authorityText(folder)}Start the service with it:\n\n` +
    `  ./wellwright watch --well <well.toml> --access ${folder} --host 0.0.0.0\n\n` +
    'What a phone needs, and a key for each device: docs/access.md.\n'
  );
}

async function letIn(folder: string, values: Values, name: string): Promise<string> {
  const device = deviceOf(name);
  if (device === null && !values.key) {
    const entries = readEntries(folder);
    const { passphrase, says } = await passphraseFor(name, values);
    writeEntries(folder, await withPerson(entries, name, { passphrase, nowS: nowS() }));
    return says;
  }
  if (values.typed) throw new UsageError('--typed: expected a person, found a key');
  const key = letInByKey(folder, name, nowS());
  const may = device === null ? 'reads all' : `writes readings of ${device.well}, and nothing else`;
  return (
    `The key of ${name}, which ${may}; it is shown this once, and an old one is over:\n\n` +
    `  user      ${name}\n  password  ${key}\n\n`
  );
}

/** Drawn by lot and shown this once, or typed by the keeper and shown never. */
async function passphraseFor(
  name: string,
  { typed }: Values,
): Promise<{ passphrase: string; says: string }> {
  if (typed) {
    const passphrase = await typedSecret(`Passphrase of ${name}: `);
    checkPassphrase(passphrase);
    return { passphrase, says: `${name} signs in with the passphrase that was typed.\n\n` };
  }
  const passphrase = newPassphrase();
  const says = `The passphrase of ${name}; it is shown this once, and an old one is over:`;
  return { passphrase, says: `${says}\n\n  ${passphrase}\n\n` };
}

function authorityText(folder: string): string {
  const { file, fingerprint, until, names } = shownAuthority(folder);
  return (
    `The certificate that phones and devices are to trust, valid until ${until}: ${file}\n` +
    `Its fingerprint (SHA-256), to compare before trusting it:\n\n  ${fingerprint}\n\n` +
    `The service proves by it that it is one of ${names.join(', ')}.\n\n`
  );
}

function shown(folder: string, { people, keys }: Entries): string {
  const rows = [
    ...people.map(({ name, role, since }) => [name, role, since]),
    ...keys.map(({ name, well, since }) => [
      name,
      well === null ? 'reads' : `writes ${well}`,
      since,
    ]),
  ];
  const lines = rows.map(
    ([name = '', may = '', since = '']) => `  ${name.padEnd(24)}${may.padEnd(24)}since ${since}\n`,
  );
  return `Let in:\n\n${lines.join('')}\n${authorityText(folder)}`;
}

const nowS = (): number => Date.now() / 1000;

function parsed(args: string[]) {
  return readArgs(USAGE, {
    args,
    allowPositionals: true,
    options: {
      help: { type: 'boolean', short: 'h', default: false },
      name: { type: 'string', multiple: true, default: [] },
      typed: { type: 'boolean', default: false },
      key: { type: 'boolean', default: false },
    },
  });
}
