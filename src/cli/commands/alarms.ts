import { randomBytes } from 'node:crypto';
import { writeFile } from 'node:fs/promises';
import { instant } from '../../base/instant.ts';
import { openNotifier, SettingsFileError } from '../../notify/open.ts';
import { newVapidKeys, publicKeyOf } from '../../notify/vapid.ts';
import { NotTold } from '../../ports/notifier.ts';
import { testWords } from '../../report/notice-text.ts';
import { readArgs, UsageError } from '../usage.ts';
import type { AlarmOptions } from '../watch/alarms.ts';
import { readAlarms } from '../watch/read-alarms.ts';

const USAGE =
  'usage: wellwright alarms test <alarms.toml> [<receiver>]...\n' +
  '       wellwright alarms new-secret <new file>\n' +
  '       wellwright alarms new-keys <new file>';

const SECRET_BYTES = 32;

const JOBS: Record<string, (file: string, more: string[]) => Promise<number>> = {
  test: async (file, names) => testAll(await readAlarms(file, []), names),
  'new-secret': async (file) => {
    await writeSecret(file, `${randomBytes(SECRET_BYTES).toString('base64url')}\n`);
    process.stdout.write(`${file}: a new secret, for the receiver as well\n`);
    return 0;
  },
  'new-keys': async (file) => {
    const keys = newVapidKeys();
    await writeSecret(file, `${JSON.stringify(keys)}\n`);
    process.stdout.write(
      `${file}: new keys for web push; a browser subscribes with\n${publicKeyOf(keys)}\n`,
    );
    return 0;
  },
};

/** `alarms`: who is told of alarms, tried out, and the secrets that it takes. */
export async function alarms(args: string[]): Promise<number> {
  const { values, positionals } = parsed(args);
  if (values.help) {
    process.stdout.write(`${USAGE}\n`);
    return 0;
  }
  const [name = '', file, ...more] = positionals;
  const job = Object.hasOwn(JOBS, name) ? JOBS[name] : undefined;
  if (job === undefined) {
    const found = name === '' ? 'none' : `"${name}"`;
    throw new UsageError(
      `expected one of ${Object.keys(JOBS).join(', ')}, found ${found}\n${USAGE}`,
    );
  }
  if (file === undefined) throw new UsageError(`expected a file, found none\n${USAGE}`);
  return job(file, more);
}

/** Sends a test to those named, or to all; 1 where one of them was not told. */
async function testAll({ settings, folder }: AlarmOptions, names: string[]): Promise<number> {
  const known = settings.receivers.map(({ name }) => name);
  for (const name of names)
    if (!known.includes(name))
      throw new UsageError(`expected one of ${known.join(', ')}, found "${name}"`);
  const chosen = settings.receivers.filter(
    ({ name }) => names.length === 0 || names.includes(name),
  );
  if (chosen.length === 0) throw new UsageError('expected a [[receiver]], found none');
  const clock = { nowS: () => Date.now() / 1000 };
  let failed = 0;
  for (const one of chosen) {
    const beganMs = performance.now();
    const says = await testOne(one, { folder, clock });
    const tookMs = Math.round(performance.now() - beganMs);
    if (says !== null) failed += 1;
    process.stdout.write(`${one.name}: ${says ?? `told by ${one.way} in ${tookMs} ms`}\n`);
  }
  return failed === 0 ? 0 : 1;
}

async function testOne(
  settings: AlarmOptions['settings']['receivers'][number],
  how: Parameters<typeof openNotifier>[1],
): Promise<string | null> {
  try {
    const notifier = await openNotifier(settings, how);
    try {
      const at = instant(how.clock.nowS());
      await notifier.tell({
        id: `test-${randomBytes(6).toString('hex')}`,
        ...{ kind: 'test', well: 'test', wellName: 'test', urgency: 'note', at },
        ...{ alarm: null, fault: null },
        ...testWords(settings.name, null),
      });
      return null;
    } finally {
      await notifier.close();
    }
  } catch (error) {
    if (error instanceof NotTold || error instanceof SettingsFileError) return error.message;
    throw error;
  }
}

/** For its owner alone, and over no file that is there. */
async function writeSecret(file: string, text: string): Promise<void> {
  await writeFile(file, text, { flag: 'wx', mode: 0o600 }).catch((error: NodeJS.ErrnoException) => {
    throw new UsageError(`${file}: expected to write a new file, found ${error.code}`);
  });
}

function parsed(args: string[]) {
  const options = { help: { type: 'boolean', short: 'h', default: false } } as const;
  return readArgs(USAGE, { args, allowPositionals: true, options });
}
