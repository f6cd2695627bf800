import type { Notice } from '../model/alarm.ts';
import type { Clock } from '../ports/clock.ts';
import type { Notifier } from '../ports/notifier.ts';
import { ANSWER_WITHIN_MS, post } from './send-http.ts';
import { sign } from './signature.ts';

export interface WebhookOptions {
  address: string;
  secret: string;
  clock: Clock;
  answerWithinMs?: number;
}

/** Posts a notice as JSON, signed anew each time with the moment it is sent. */
export class WebhookNotifier implements Notifier {
  readonly #options: WebhookOptions;

  constructor(options: WebhookOptions) {
    this.#options = options;
  }

  async tell(notice: Notice): Promise<void> {
    const { address, secret, clock, answerWithinMs = ANSWER_WITHIN_MS } = this.#options;
    const body = JSON.stringify(notice);
    const { time, signature } = sign(secret, body, clock.nowS());
    const headers = {
      'content-type': 'application/json',
      'wellwright-notice': notice.id,
      'wellwright-time': time,
      'wellwright-signature': signature,
    };
    await post({ address, headers, body, withinMs: answerWithinMs });
  }

  async close(): Promise<void> {}
}
