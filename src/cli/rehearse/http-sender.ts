import { setTimeout as sleep } from 'node:timers/promises';
import { causeOf } from '../../base/cause-of.ts';
import { UsageError } from '../usage.ts';
import { type Credentials, type Sender, TroubleTeller } from './sender.ts';

const ANSWER_WITHIN_MS = 30_000;
const FIRST_WAIT_MS = 250;
const LONGEST_WAIT_MS = 30_000;
/** Answers that say this pack is at fault, so that the next may pass. */
const PACK_AT_FAULT = [400, 413, 415, 422];
/** Refusals told in full; the rest are counted. */
const TOLD = 5;

export interface HttpWay {
  address: string;
  credentials: Credentials | null;
  say: (line: string) => void;
}

/** Posts packs one after the other, so that they arrive in the order they were made. */
export class HttpSender implements Sender {
  readonly atOnce = 1;
  refused = 0;
  readonly #way: HttpWay;
  readonly #headers: Record<string, string>;
  readonly #trouble: TroubleTeller;
  #answered = false;

  constructor(way: HttpWay) {
    this.#way = way;
    this.#trouble = new TroubleTeller(way.say);
    this.#headers = { 'content-type': 'application/senml+json' };
    if (way.credentials === null) return;
    const { user, password } = way.credentials;
    const pair = Buffer.from(`${user}:${password}`).toString('base64');
    this.#headers.authorization = `Basic ${pair}`;
  }

  async send(pack: string): Promise<void> {
    for (let tries = 0; ; tries++) {
      const again = await this.#try(pack);
      if (again === null) return;
      await sleep(again.afterMs ?? Math.min(FIRST_WAIT_MS * 2 ** tries, LONGEST_WAIT_MS));
    }
  }

  close(): Promise<void> {
    return Promise.resolve();
  }

  /** Null where the pack has its answer, else when to try again. */
  async #try(pack: string): Promise<{ afterMs: number | null } | null> {
    const { address } = this.#way;
    let answer: Response;
    let text: string;
    try {
      answer = await fetch(address, {
        method: 'POST',
        headers: this.#headers,
        body: pack,
        signal: AbortSignal.timeout(ANSWER_WITHIN_MS),
      });
      text = await answer.text();
    } catch (error) {
      const found = `${address}: expected an answer, found ${causeOf(error)}`;
      if (!this.#answered) throw new UsageError(found);
      this.#trouble.began(found);
      return { afterMs: null };
    }
    this.#answered = true;
    const { status } = answer;
    if (status >= 500 || status === 429 || status === 408) {
      this.#trouble.began(`${address}: expected 200, found ${status}`);
      const afterS = Number(answer.headers.get('retry-after') ?? Number.NaN);
      return { afterMs: afterS >= 0 ? Math.min(afterS * 1000, LONGEST_WAIT_MS) : null };
    }
    this.#trouble.over(address);
    if (answer.ok) this.#readAnswer(text);
    else if (PACK_AT_FAULT.includes(status)) this.#tell(`${status} ${text}`);
    else throw new UsageError(`${address}: expected 200, found ${status} ${text.trim()}`);
    return null;
  }

  /** The service names what of an accepted pack it could not use. */
  #readAnswer(text: string): void {
    let refused: unknown;
    try {
      refused = JSON.parse(text)?.refused;
    } catch {
      return;
    }
    if (Array.isArray(refused) && refused.length > 0) this.#tell(JSON.stringify(refused));
  }

  #tell(found: string): void {
    this.refused++;
    if (this.refused > TOLD) return;
    const more = this.refused === TOLD ? '; more are counted, not told' : '';
    const { address, say } = this.#way;
    say(`${address}: expected the pack to be taken, found it refused: ${found.trim()}${more}`);
  }
}
