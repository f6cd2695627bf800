import type { Urgency } from './study.ts';

/** Hours in which only what cannot wait is told, s after local midnight; may run over midnight. */
export interface QuietHours {
  fromS: number;
  toS: number;
}

/** What every receiver has, whichever way it is told. */
export interface AnyReceiver {
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

/** How browsers are told whose keeper has pressed for it on the page. */
export interface BrowserSettings {
  keysFile: string;
  /** Whom a push service can write to: mailto: or https:. */
  contact: string;
  /** The service writes them there. */
  subscriptionsFile: string;
  from: Urgency;
  quiet: QuietHours | null;
}

/** Who is told, how, and when. */
export interface AlarmSettings {
  receivers: ReceiverSettings[];
  browsers: BrowserSettings | null;
  heartbeat: { address: string; everyS: number; secretFile: string | null } | null;
}
