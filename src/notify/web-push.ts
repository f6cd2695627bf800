import type { Notice } from '../model/alarm.ts';
import type { Clock } from '../ports/clock.ts';
import { type Notifier, NotTold } from '../ports/notifier.ts';
import { encryptPush, PUSH_BYTES, type Subscription } from './push-message.ts';
import { post } from './send-http.ts';
import { type VapidKeys, vapidHeader } from './vapid.ts';

export interface WebPushOptions {
  subscription: Subscription;
  keys: VapidKeys;
  contact: string;
  clock: Clock;
  answerWithinMs?: number;
  /** Somebody else than the keeper chose where it goes. */
  outside?: boolean;
}

/** A push service keeps what a phone that is off has not got yet for so long, s. */
const KEPT_S = 86_400;

/** A notice to a browser that subscribed, encrypted for it alone (RFC 8030, 8291 and 8292). */
export class WebPushNotifier implements Notifier {
  readonly #options: WebPushOptions;

  constructor(options: WebPushOptions) {
    this.#options = options;
  }

  async tell(notice: Notice): Promise<void> {
    const { subscription, keys, contact, clock, answerWithinMs, outside } = this.#options;
    const { endpoint } = subscription;
    const sealed = encryptPush(pushText(notice), subscription.keys);
    const headers = {
      authorization: vapidHeader(endpoint, keys, { contact, nowS: clock.nowS() }),
      'content-encoding': 'aes128gcm',
      'content-type': 'application/octet-stream',
      ttl: String(KEPT_S),
      urgency: notice.urgency === 'now' || notice.urgency === 'today' ? 'high' : 'normal',
    };
    await post({
      ...{ address: endpoint, headers, body: sealed, outside: outside ?? false },
      ...(answerWithinMs !== undefined && { withinMs: answerWithinMs }),
    });
  }

  async close(): Promise<void> {}
}

/**
 * What fits: the text is cut from its end, where the least of it stands. Whole paragraphs go; one
 * that is too long alone is cut by as much as it takes, and after it the line above it.
 */
function pushText(notice: Notice): Buffer {
  let { text, subject } = notice;
  for (;;) {
    const whole = Buffer.from(JSON.stringify({ ...notice, subject, text }));
    const over = whole.length - PUSH_BYTES;
    if (over <= 0) return whole;
    const cut = text.lastIndexOf('\n\n');
    if (cut >= 0) text = text.slice(0, cut);
    else if (text !== '') text = text.slice(0, -over);
    else if (subject !== '') subject = subject.slice(0, -over);
    else throw new NotTold('a notice whose names alone are too long for a push', false);
  }
}
