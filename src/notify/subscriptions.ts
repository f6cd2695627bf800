import { open, readFile, rename } from 'node:fs/promises';
import type { AnyReceiver, PushSettings } from '../model/alarm-settings.ts';
import type { Clock } from '../ports/clock.ts';
import type { Notifier } from '../ports/notifier.ts';
import { type PushDesk, type Subscriber, SubscriptionRefused } from '../ports/push-desk.ts';
import { isSubscription, type Subscription } from './push-message.ts';
import { Refused } from './send-http.ts';
import { keyOf, newVapidKeys, publicKeyOf, type VapidKeys } from './vapid.ts';
import { WebPushNotifier } from './web-push.ts';

interface Kept {
  keys: VapidKeys;
  subscribers: (Subscriber & { subscription: Subscription })[];
}

/** More than the phones and tablets of any household. */
const MOST = 16;

export interface SubscriptionOptions {
  /** Beside the store and not in it: a backup holds no secret. */
  file: string;
  settings: PushSettings;
  clock: Clock;
  /** Names of receivers that the keeper wrote down. */
  taken: readonly string[];
  trouble: (says: string) => void;
}

/**
 * Browsers that subscribed by the page, kept in a file for the owner of the service alone. Where
 * their messages go was chosen by whoever subscribed, so it must lead out of the house.
 */
export class Subscriptions implements PushDesk {
  readonly #options: SubscriptionOptions;
  #kept: Kept;
  #told = new Map<string, { settings: AnyReceiver; notifier: Notifier }>();
  #saving: Promise<void> = Promise.resolve();

  private constructor(options: SubscriptionOptions, kept: Kept) {
    this.#options = options;
    this.#kept = kept;
    for (const one of kept.subscribers) this.#add(one);
  }

  static async open(options: SubscriptionOptions): Promise<Subscriptions> {
    const kept = await keptIn(options.file);
    const subscriptions = new Subscriptions(
      options,
      kept ?? { keys: newVapidKeys(), subscribers: [] },
    );
    if (kept === null) await subscriptions.#save();
    return subscriptions;
  }

  get key(): string {
    return publicKeyOf(this.#kept.keys);
  }

  get subscribers(): Subscriber[] {
    return this.#kept.subscribers.map(({ subscription, ...one }) => one);
  }

  /** As the alarms tell them. */
  get receivers(): { settings: AnyReceiver; notifier: Notifier }[] {
    return [...this.#told.values()];
  }

  async add(asked: Omit<Subscriber, 'sinceS'>, subscription: unknown): Promise<void> {
    if (!isSubscription(subscription))
      throw new SubscriptionRefused('expected endpoint and keys as a browser gives them');
    if (this.#options.taken.includes(asked.name))
      throw new SubscriptionRefused(`expected a name of its own, found that of a receiver`);
    const { hostname, protocol } = new URL(subscription.endpoint);
    if (protocol !== 'https:' && !this.#isAllowed(hostname))
      throw new SubscriptionRefused(`expected an endpoint of https, found ${protocol}`);
    const others = this.#kept.subscribers.filter(({ name }) => name !== asked.name);
    if (others.length >= MOST)
      throw new SubscriptionRefused(`expected at most ${MOST} browsers, found as many already`);
    const { endpoint, keys } = subscription;
    const { p256dh, auth } = keys;
    const one = {
      ...{ ...asked, sinceS: this.#options.clock.nowS() },
      subscription: { endpoint, keys: { p256dh, auth } },
    };
    this.#kept.subscribers = [...others, one];
    this.#add(one);
    await this.#save();
  }

  async remove(name: string): Promise<boolean> {
    const left = this.#kept.subscribers.filter((one) => one.name !== name);
    if (left.length === this.#kept.subscribers.length) return false;
    this.#kept.subscribers = left;
    this.#told.delete(name);
    await this.#save();
    return true;
  }

  #isAllowed(hostname: string): boolean {
    return this.#options.settings.inHouse.includes(hostname);
  }

  #add({ name, from, quiet, subscription }: Kept['subscribers'][number]): void {
    const { settings, clock } = this.#options;
    const { hostname } = new URL(subscription.endpoint);
    const push = new WebPushNotifier({
      ...{ subscription, keys: this.#kept.keys, contact: settings.contact, clock },
      outside: !this.#isAllowed(hostname),
    });
    const notifier: Notifier = {
      tell: (notice) => push.tell(notice).catch((error) => this.#failed(name, error)),
      close: () => push.close(),
    };
    this.#told.set(name, {
      settings: { way: 'web-push', name, from, quiet, wells: null },
      notifier,
    });
  }

  /** A subscription that its browser has ended is gone (RFC 8030, section 7.3). */
  async #failed(name: string, error: unknown): Promise<never> {
    if (error instanceof Refused && (error.status === 404 || error.status === 410)) {
      this.#options.trouble(`${name} has ended its subscription and is told no more`);
      await this.remove(name);
    }
    throw error;
  }

  /** All of it or what was there before, whenever the power goes. */
  #save(): Promise<void> {
    const { file } = this.#options;
    const text = `${JSON.stringify(this.#kept)}\n`;
    this.#saving = this.#saving
      .catch(() => undefined)
      .then(async () => {
        const handle = await open(`${file}.new`, 'w', 0o600);
        try {
          await handle.writeFile(text);
          await handle.sync();
        } finally {
          await handle.close();
        }
        await rename(`${file}.new`, file);
      });
    return this.#saving;
  }
}

async function keptIn(file: string): Promise<Kept | null> {
  const text = await readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return null;
    throw new SubscriptionRefused(`${file}: expected to read it, found ${error.code}`);
  });
  if (text === null) return null;
  try {
    const kept = JSON.parse(text) as Kept;
    keyOf(kept.keys);
    if (kept.subscribers.every(({ subscription }) => isSubscription(subscription))) return kept;
  } catch {
    // Told below: what is in the file is secret.
  }
  throw new SubscriptionRefused(`${file}: expected what the service wrote, found something else`);
}
