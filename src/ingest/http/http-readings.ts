import { STATUS_CODES } from 'node:http';
import type { Readable } from 'node:stream';
import {
  type Hold,
  type Inbox,
  InboxHolds,
  type ReadingSource,
} from '../../ports/reading-source.ts';
import { type HandedIn, outcomeOf } from '../hand-in.ts';
import type { PackReader } from '../pack-reader.ts';
import { type BodyTrouble, readBody } from './read-body.ts';

const TAKES = 'application/senml+json';

export interface HttpRequest {
  wellId: string;
  /** By name in small letters. */
  headers: Record<string, string | string[] | undefined>;
  body: Readable;
}

export interface HttpAnswer {
  status: number;
  headers: Record<string, string>;
  body: string;
}

/** What can be wrong with a request as a whole; docs/formats/live-readings.md lists them. */
export const PROBLEMS = {
  unreadable: [400, 'Nothing of it can be read'],
  'too-deep': [400, 'The JSON nests too deep'],
  'not-gzip': [400, 'The body is no gzip'],
  cut: [400, 'The body ends before its end'],
  'unknown-well': [404, 'No such well here'],
  'too-slow': [408, 'The body came too slowly'],
  'too-large': [413, 'The body is too large'],
  'media-type': [415, 'The body is of another type'],
  'content-coding': [415, 'The body is packed in another way'],
  'try-again': [503, 'Nothing can be kept just now'],
} as const satisfies Record<string, readonly [number, string]>;

type Problem = keyof typeof PROBLEMS;

/**
 * `POST /api/v1/wells/<id>/readings` for any server: takes a request, gives an answer. 200 means
 * durably kept, 503 that the device should keep what it has and come again.
 */
export class HttpReadings implements ReadingSource {
  readonly #reader: PackReader;
  #inbox: Inbox | null = null;
  readonly #underWay = new Set<Promise<HttpAnswer>>();
  #closing = false;

  constructor(reader: PackReader) {
    this.#reader = reader;
  }

  open(inbox: Inbox): Promise<void> {
    this.#inbox = inbox;
    return Promise.resolve();
  }

  async close(): Promise<void> {
    this.#closing = true;
    await Promise.all(this.#underWay);
  }

  handle(request: HttpRequest): Promise<HttpAnswer> {
    const answer = this.#answer(request)
      .catch((error: Error) => problem('try-again', error.message, retryAfter()))
      .finally(() => this.#underWay.delete(answer));
    this.#underWay.add(answer);
    return answer;
  }

  async #answer({ wellId, headers, body }: HttpRequest): Promise<HttpAnswer> {
    const { counters, limits } = this.#reader;
    const inbox = this.#inbox;
    if (inbox === null || this.#closing) return this.#tryAgain('closing');
    if (!this.#reader.knows(wellId)) return problem('unknown-well', `no well '${wellId}'`);
    const wrong = wrongHeader(headers);
    if (wrong !== null) {
      counters.add('media-type-refused');
      return wrong;
    }
    if (Number(headers['content-length'] ?? 0) > limits.packBytes)
      return this.#trouble('too-large');
    if (inbox.holds !== null) return this.#tryAgain(inbox.holds);
    if (this.#underWay.size >= limits.requestsAtOnce) return this.#tryAgain('full');
    const bytes = await readBody(body, {
      mostBytes: limits.packBytes,
      withinS: limits.bodyWithinS,
      gzip: headers['content-encoding'] === 'gzip',
    });
    return typeof bytes === 'string' ? this.#trouble(bytes) : this.#take(inbox, wellId, bytes);
  }

  async #take(inbox: Inbox, wellId: string, bytes: Uint8Array): Promise<HttpAnswer> {
    const packs = this.#reader.read(wellId, bytes);
    if (packs === 'too-large') return problem('too-large', mostBytes(this.#reader));
    if (typeof packs === 'string') {
      const deep = packs === 'too-deep';
      return problem(deep ? 'too-deep' : 'unreadable', 'expected SenML JSON (RFC 8428)');
    }
    if (packs.some((pack) => this.#reader.waitS(pack) > 0)) return this.#tryAgain('too-fast');
    for (const pack of packs) this.#reader.spend(pack);
    try {
      const kept = await Promise.all(packs.map((pack) => inbox.take(pack)));
      return taken(outcomeOf(packs, kept));
    } catch (error) {
      if (error instanceof InboxHolds) return problem('try-again', error.why, retryAfter());
      return problem('try-again', (error as Error).message, retryAfter());
    }
  }

  #tryAgain(why: Hold | 'too-fast'): HttpAnswer {
    this.#reader.counters.add(`held-${why}`);
    return problem('try-again', why, retryAfter());
  }

  #trouble(why: BodyTrouble): HttpAnswer {
    const { counters, limits } = this.#reader;
    if (why === 'too-large') {
      counters.add('refused:too-large');
      return problem(why, mostBytes(this.#reader), CLOSES);
    }
    if (why === 'too-slow') {
      counters.add('body-too-slow');
      return problem(why, `expected the whole body within ${limits.bodyWithinS} s`, CLOSES);
    }
    counters.add('refused:unreadable');
    return problem(why, 'expected a whole body', CLOSES);
  }
}

/** What is left of the body is not read, so the connection is of no more use. */
const CLOSES = { connection: 'close' };

const mostBytes = ({ limits }: PackReader) =>
  `expected at most ${limits.packBytes} bytes, unpacked`;

const retryAfter = () => ({ 'retry-after': '5', ...CLOSES });

function wrongHeader(headers: HttpRequest['headers']): HttpAnswer | null {
  const type = String(headers['content-type'] ?? 'none');
  if (type.split(';')[0]!.trim().toLowerCase() !== TAKES) {
    const detail = `expected content-type ${TAKES}, found ${type}`;
    return problem('media-type', detail, { ...CLOSES, accept: TAKES });
  }
  const coding = String(headers['content-encoding'] ?? 'identity');
  if (coding === 'identity' || coding === 'gzip') return null;
  const detail = `expected content-encoding gzip or none, found ${coding}`;
  return problem('content-coding', detail, { ...CLOSES, 'accept-encoding': 'gzip' });
}

function taken(outcome: HandedIn): HttpAnswer {
  const headers = { 'content-type': 'application/json' };
  return { status: 200, headers, body: JSON.stringify(outcome) };
}

/**
 * Problem details (RFC 9457). Without a page of its own the type is `about:blank`, and the title
 * the words that HTTP has for the status.
 */
function problem(code: Problem, detail: string, headers: Record<string, string> = {}): HttpAnswer {
  const [status, says] = PROBLEMS[code];
  const title = STATUS_CODES[status];
  return {
    status,
    headers: { 'content-type': 'application/problem+json', ...headers },
    body: JSON.stringify({
      type: 'about:blank',
      title,
      status,
      detail: `${says}: ${detail}`,
      code,
    }),
  };
}
