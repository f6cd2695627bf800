import type { AnyReceiver } from '../model/alarm-settings.ts';

/** A browser that asked to be told, by the page. */
export type Subscriber = Pick<AnyReceiver, 'name' | 'from' | 'quiet'> & {
  /** Who asked. */
  by: string;
  sinceS: number;
};

/** Why a browser cannot be told: expected, found. */
export class SubscriptionRefused extends Error {}

/** Where browsers subscribe to be told, and end it. */
export interface PushDesk {
  /** What a browser subscribes with: a public key on P-256, base64url. */
  readonly key: string;
  readonly subscribers: Subscriber[];
  /**
   * The same name again is the same browser, which has subscribed anew. Throws SubscriptionRefused.
   */
  add(asked: Omit<Subscriber, 'sinceS'>, subscription: unknown): Promise<void>;
  /** Whether there was one of this name. */
  remove(name: string): Promise<boolean>;
}
