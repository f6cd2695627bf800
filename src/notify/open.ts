import { readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import type { ReceiverSettings } from '../model/alarm-settings.ts';
import type { Clock } from '../ports/clock.ts';
import type { Notifier } from '../ports/notifier.ts';
import { EmailNotifier } from './email.ts';
import { MqttNotifier } from './mqtt.ts';
import { isSubscription, type Subscription } from './push-message.ts';
import { keyOf, type VapidKeys } from './vapid.ts';
import { WebPushNotifier } from './web-push.ts';
import { WebhookNotifier } from './webhook.ts';

/** A file that the settings name cannot be used: what, expected, found. */
export class SettingsFileError extends Error {}

/** Shorter secrets can be guessed. */
const LEAST_SECRET = 16;

/** A receiver as its settings have it; files are named from `folder`. */
export async function openNotifier(
  settings: ReceiverSettings,
  { folder, clock }: { folder: string; clock: Clock },
): Promise<Notifier> {
  switch (settings.way) {
    case 'webhook': {
      const secret = await secretFrom(settings.secretFile, folder);
      return new WebhookNotifier({ address: settings.address, secret, clock });
    }
    case 'email': {
      const { host, port, tls, sender, to } = settings;
      const login = await loginFrom(settings, folder);
      return new EmailNotifier({ host, port, tls, sender, to, login });
    }
    case 'mqtt': {
      const login = await loginFrom(settings, folder);
      return new MqttNotifier({ address: settings.address, login });
    }
    case 'web-push': {
      const subscription = await subscriptionFrom(settings.subscriptionFile, folder);
      const keys = await keysFrom(settings.keysFile, folder);
      return new WebPushNotifier({ subscription, keys, contact: settings.contact, clock });
    }
  }
}

/** A secret of one line, without the white space round it. */
export async function secretFrom(file: string, folder: string): Promise<string> {
  const secret = (await textFrom(file, folder, 'a secret')).trim();
  if (secret.length >= LEAST_SECRET) return secret;
  throw new SettingsFileError(
    `${file}: expected a secret of at least ${LEAST_SECRET} characters, found ${secret.length}`,
  );
}

async function loginFrom(
  { user, passwordFile }: { user: string | null; passwordFile: string | null },
  folder: string,
): Promise<{ user: string; password: string } | null> {
  if (user === null || passwordFile === null) return null;
  return { user, password: (await textFrom(passwordFile, folder, 'a password')).trim() };
}

async function subscriptionFrom(file: string, folder: string): Promise<Subscription> {
  const given = await jsonFrom(file, folder, 'the subscription of a browser');
  if (isSubscription(given)) return given;
  throw new SettingsFileError(
    `${file}: expected endpoint and keys (p256dh, auth) as a browser gives them, found others`,
  );
}

async function keysFrom(file: string, folder: string): Promise<VapidKeys> {
  const given = (await jsonFrom(file, folder, 'keys')) as VapidKeys;
  try {
    keyOf(given);
    return given;
  } catch {
    throw new SettingsFileError(
      `${file}: expected the keys that "alarms new-keys" makes, found others`,
    );
  }
}

async function jsonFrom(file: string, folder: string, what: string): Promise<unknown> {
  const text = await textFrom(file, folder, what);
  try {
    const value: unknown = JSON.parse(text);
    if (typeof value === 'object' && value !== null) return value;
  } catch {
    // Told below: what is in the file may be secret.
  }
  throw new SettingsFileError(`${file}: expected ${what} in JSON, found something else`);
}

async function textFrom(file: string, folder: string, what: string): Promise<string> {
  return readFile(resolve(folder, file), 'utf8').catch((error: NodeJS.ErrnoException) => {
    throw new SettingsFileError(`${file}: expected ${what}, found ${error.code}`);
  });
}
