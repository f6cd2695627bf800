import { rename, writeFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import type { AnyReceiver, BrowserSettings } from '../model/alarm-settings.ts';
import type { Clock } from '../ports/clock.ts';
import type { Notifier } from '../ports/notifier.ts';
import { isSubscription, jsonFrom, keysFrom, SettingsFileError } from './open.ts';
import { ReceiverGone } from './send-http.ts';
import { publicKeyOf, type VapidKeys } from './vapid.ts';
import { type Subscription, WebPushNotifier } from './web-push.ts';

/** More browsers than any household has. */
const MOST = 32;

/** A browser that has subscribed on the page, under the name of who pressed there. */
interface Subscribed {
  name: string;
  subscription: Subscription;
}

export interface BrowserReceiver {
  settings: AnyReceiver;
  notifier: Notifier;
}

/** Why a browser cannot be told. */
export class NotSubscribed extends Error {}

interface BrowsersPorts {
  settings: BrowserSettings;
  folder: string;
  clock: Clock;
  /** Told to be receivers from now on, and no more. */
  onJoin(receiver: BrowserReceiver): void;
  onLeave(name: string): void;
}

/** Browsers that are told because somebody pressed for it, kept in a file of their own. */
export class Browsers {
  readonly #ports: BrowsersPorts;
  readonly #keys: VapidKeys;
  readonly #all: Subscribed[] = [];
  #saving: Promise<void> = Promise.resolve();

  private constructor(ports: BrowsersPorts, keys: VapidKeys) {
    this.#ports = ports;
    this.#keys = keys;
  }

  static async open(ports: BrowsersPorts): Promise<Browsers> {
    const { settings, folder } = ports;
    const browsers = new Browsers(ports, await keysFrom(settings.keysFile, folder));
    for (const one of await readSubscribed(settings.subscriptionsFile, folder)) browsers.#join(one);
    return browsers;
  }

  /** With which a browser subscribes. */
  get key(): string {
    return publicKeyOf(this.#keys);
  }

  /** Resolves with the name it is told by, once that is kept. Throws NotSubscribed. */
  async subscribe(by: string, subscription: Subscription): Promise<string> {
    if (!isSubscription(subscription) || !subscription.endpoint.startsWith('https://'))
      throw new NotSubscribed(
        'expected an https endpoint and keys (p256dh, auth) as a browser gives them, found others',
      );
    const { endpoint, keys } = subscription;
    this.#leave(endpoint);
    if (this.#all.length >= MOST)
      throw new NotSubscribed(`expected at most ${MOST} browsers, found one more`);
    const { p256dh, auth } = keys;
    const name = this.#freeName(by);
    this.#join({ name, subscription: { endpoint, keys: { p256dh, auth } } });
    await this.#save();
    return name;
  }

  /** Whether it was told before. */
  async forget(endpoint: string): Promise<boolean> {
    const left = this.#leave(endpoint);
    if (left) await this.#save();
    return left;
  }

  #freeName(by: string): string {
    const base = `browser of ${by}`;
    const taken = new Set(this.#all.map(({ name }) => name));
    let name = base;
    for (let k = 2; taken.has(name); k++) name = `${base} ${k}`;
    return name;
  }

  #join(one: Subscribed): void {
    const { settings, clock, onJoin } = this.#ports;
    this.#all.push(one);
    const push = new WebPushNotifier({
      ...{ subscription: one.subscription, keys: this.#keys, contact: settings.contact, clock },
    });
    const { from, quiet } = settings;
    onJoin({
      settings: { name: one.name, from, quiet, wells: null },
      notifier: {
        tell: (notice) =>
          push.tell(notice).catch(async (error: unknown) => {
            // Who has taken it back in the browser is told no more (RFC 8030, section 7.3).
            if (error instanceof ReceiverGone) await this.forget(one.subscription.endpoint);
            throw error;
          }),
        close: () => push.close(),
      },
    });
  }

  #leave(endpoint: string): boolean {
    const at = this.#all.findIndex(({ subscription }) => subscription.endpoint === endpoint);
    if (at < 0) return false;
    const [one] = this.#all.splice(at, 1);
    this.#ports.onLeave(one!.name);
    return true;
  }

  /** All of it or nothing, and for the service alone: an endpoint is a secret. */
  #save(): Promise<void> {
    const { settings, folder } = this.#ports;
    const file = resolve(folder, settings.subscriptionsFile);
    const saved = this.#saving.then(async () => {
      await writeFile(`${file}.new`, `${JSON.stringify(this.#all)}\n`, { mode: 0o600 });
      await rename(`${file}.new`, file);
    });
    this.#saving = saved.catch(() => undefined);
    return saved;
  }
}

async function readSubscribed(file: string, folder: string): Promise<Subscribed[]> {
  const what = 'the browsers that subscribed';
  const given = await jsonFrom(file, folder, what, '[]');
  const isWhole =
    Array.isArray(given) &&
    given.every(
      ({ name, subscription }) => typeof name === 'string' && isSubscription(subscription),
    );
  if (isWhole) return given as Subscribed[];
  throw new SettingsFileError(`${file}: expected ${what}, as the service wrote them, found others`);
}
