import { type IncomingMessage, request as requestHttp } from 'node:http';
import { request as requestHttps } from 'node:https';
import { isIP } from 'node:net';
import { causeOf } from '../base/cause-of.ts';
import { NotTold } from '../ports/notifier.ts';
import { isOfTheHouse, lookupOutside, OfTheHouse } from './house.ts';

/** A receiver has so long to answer, ms. */
export const ANSWER_WITHIN_MS = 15_000;

/** Answers that time may mend; any other refusal is for good. */
const isPassing = (status: number): boolean => status >= 500 || [408, 425, 429].includes(status);

export interface Posted {
  address: string;
  headers: Record<string, string>;
  body: string | Uint8Array;
  withinMs?: number;
  /** The address was not chosen by the keeper: it must lead out of the house. */
  outside?: boolean;
}

/** Refused by who answered, with this status. */
export class Refused extends NotTold {
  readonly status: number;
  constructor(where: string, status: number) {
    super(`${where}: expected 200 to 299, found ${status}`, isPassing(status));
    this.status = status;
  }
}

/**
 * Posts, and resolves where it was taken. Where an answer leads elsewhere it is not followed. No
 * secret is in what it says.
 */
export async function post(posted: Posted): Promise<void> {
  const where = placeOf(posted.address);
  let answer: IncomingMessage;
  try {
    answer = await answered(posted);
  } catch (error) {
    if (error instanceof OfTheHouse)
      throw new NotTold(`${where}: expected a server outside the house: ${error.message}`, false);
    throw new NotTold(`${where}: expected an answer, found ${causeOf(error)}`, true);
  }
  const { statusCode: status = 0 } = answer;
  if (status < 200 || status > 299) throw new Refused(where, status);
}

function answered({ address, headers, body, withinMs, outside }: Posted): Promise<IncomingMessage> {
  const url = new URL(address);
  const name = url.hostname.replace(/^\[(.*)\]$/, '$1');
  const begin = url.protocol === 'https:' ? requestHttps : requestHttp;
  const length = { 'content-length': String(Buffer.byteLength(body)) };
  return new Promise((resolve, reject) => {
    // Only names are looked up.
    if (outside && isIP(name) !== 0 && isOfTheHouse(name)) throw new OfTheHouse(name);
    const asked = begin(url, {
      ...{ method: 'POST', headers: { ...headers, ...length }, agent: false },
      signal: AbortSignal.timeout(withinMs ?? ANSWER_WITHIN_MS),
      ...(outside && { lookup: lookupOutside }),
    });
    asked.on('response', (answer) => {
      resolve(answer);
      // What it says beside its status is of no interest.
      answer.on('error', () => undefined).destroy();
    });
    asked.on('error', reject).end(body);
  });
}

/** Where an address leads, without what may be secret in it: its path and query. */
export function placeOf(address: string): string {
  const { protocol, host } = new URL(address);
  return `${protocol}//${host}`;
}
