import type { Urgency } from './study.ts';

/** Hours in which only what cannot wait is told, s after local midnight; may run over midnight. */
export interface QuietHours {
  fromS: number;
  toS: number;
}

export const WAYS = ['webhook', 'email', 'mqtt', 'web-push'] as const;

/** What is to be known of everybody who is told. */
export interface AnyReceiver {
  way: (typeof WAYS)[number];
  name: string;
  /** The least urgency that is told to it. */
  from: Urgency;
  quiet: QuietHours | null;
  /** Ids of the wells it is told of; null for all. */
  wells: string[] | null;
}

export interface WebhookReceiver extends AnyReceiver {
  way: 'webhook';
  address: string;
  secretFile: string;
}

export interface EmailReceiver extends AnyReceiver {
  way: 'email';
  host: string;
  port: number;
  /** TLS from the first byte; else by STARTTLS where the server has it. */
  tls: boolean;
  sender: string;
  to: string[];
  user: string | null;
  passwordFile: string | null;
}

export interface MqttReceiver extends AnyReceiver {
  way: 'mqtt';
  address: string;
  user: string | null;
  passwordFile: string | null;
}

export interface WebPushReceiver extends AnyReceiver {
  way: 'web-push';
  /** As the browser gives it: endpoint and keys, in JSON. */
  subscriptionFile: string;
  keysFile: string;
  /** Whom a push service can write to: mailto: or https:. */
  contact: string;
}

export type ReceiverSettings = WebhookReceiver | EmailReceiver | MqttReceiver | WebPushReceiver;

/** Browsers that subscribe by the page. */
export interface PushSettings {
  /** Whom a push service can write to: mailto: or https:. */
  contact: string;
  /** Hosts of push services that may stand in the house. */
  inHouse: string[];
}

/** Who is told, how, and when. */
export interface AlarmSettings {
  receivers: ReceiverSettings[];
  heartbeat: { address: string; everyS: number; secretFile: string | null } | null;
  /** null: no browser can subscribe by the page. */
  push: PushSettings | null;
}
