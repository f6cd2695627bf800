import type { Clock } from '../ports/clock.ts';
import { NotTold } from '../ports/notifier.ts';
import { post } from './send-http.ts';
import { sign } from './signature.ts';

/** What a heartbeat says of the service and its wells. */
export interface Beat {
  at: string;
  /** Readings are taken and every well is analysed. */
  well: boolean;
  wells: { well: string; lastReading: string | null; standing: number }[];
}

export interface HeartbeatOptions {
  address: string;
  everyS: number;
  /** null: not signed. */
  secret: string | null;
  clock: Clock;
  beat: () => Beat;
  /** Said once when it begins to fail, and with null once when it goes again. */
  trouble: (says: string | null) => void;
}

/**
 * Tells a receiver of the keeper's choice again and again that the service lives. Its absence is
 * the alarm, which only somebody outside the house can raise.
 */
export class Heartbeat {
  readonly #options: HeartbeatOptions;
  #failing = false;
  #lastS = -Infinity;
  #underWay: Promise<void> | null = null;

  constructor(options: HeartbeatOptions) {
    this.#options = options;
  }

  /** Beats where it is due; returns at once. */
  advance(): void {
    const { clock, everyS } = this.#options;
    const nowS = clock.nowS();
    if (this.#underWay !== null || Math.abs(nowS - this.#lastS) < everyS) return;
    this.#lastS = nowS;
    this.#underWay = this.#beat().finally(() => {
      this.#underWay = null;
    });
  }

  /** Resolves once none is under way. */
  async settled(): Promise<void> {
    await this.#underWay;
  }

  async #beat(): Promise<void> {
    const { address, secret, clock, beat, trouble } = this.#options;
    const body = JSON.stringify(beat());
    const headers: Record<string, string> = { 'content-type': 'application/json' };
    if (secret !== null) {
      const { time, signature } = sign(secret, body, clock.nowS());
      headers['wellwright-time'] = time;
      headers['wellwright-signature'] = signature;
    }
    try {
      await post({ address, headers, body });
      if (this.#failing) trouble(null);
      this.#failing = false;
    } catch (error) {
      if (!(error instanceof NotTold)) throw error;
      if (!this.#failing) trouble(error.message);
      this.#failing = true;
    }
  }
}
