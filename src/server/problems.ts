import { STATUS_CODES } from 'node:http';
import type { FastifyError, FastifyReply, FastifyRequest } from 'fastify';
import { StoreDamaged, StoreRefuses } from '../ports/reading-store.ts';

/** What a request can be told instead of an answer; docs/errors.md lists them. */
export const SERVER_PROBLEMS = {
  'bad-request': [400, 'What was asked cannot be understood'],
  'sign-in': [401, 'Only who is let in may see this'],
  'wrong-sign-in': [401, 'Name or passphrase is wrong'],
  'wrong-key': [401, 'The key is not in force'],
  'not-allowed': [403, 'That is not for you to do'],
  'wrong-origin': [403, 'Another page asks'],
  'too-many-tries': [429, 'Too many tries to sign in'],
  'unknown-well': [404, 'No such well here'],
  'unknown-alarm': [404, 'No such alarm here'],
  'no-readings': [404, 'No usable reading has come yet'],
  'no-analysis': [409, 'The well is not analysed'],
  'not-possible': [409, 'That cannot be done with it now'],
  'file-changed': [409, 'The well file has changed meanwhile'],
  'file-refuses': [409, 'The well file cannot be read or written'],
  'file-errors': [422, 'The well file cannot be so'],
  'unknown-entry': [404, 'No such entry in the book'],
  'bad-photo': [422, 'The photo cannot be taken'],
  'not-kept': [503, 'The store takes nothing now'],
  'no-such-address': [404, 'Nothing is at this address'],
  'too-slow': [408, 'The request came too slowly'],
  'wrong-host': [421, 'The service does not go by that name'],
  'wrong-type': [415, 'The body is of another kind'],
  'too-large': [413, 'The request is too large'],
  'too-often': [429, 'Too much is asked from this address'],
  busy: [503, 'Too many answers of this kind are under way'],
  'store-damaged': [500, 'What was kept cannot all be read'],
  fault: [500, 'A fault of the service'],
} as const satisfies Record<string, readonly [number, string]>;

export type ServerProblem = keyof typeof SERVER_PROBLEMS;

/** Thrown by a route; told as problem details. */
export class Refusal extends Error {
  readonly code: ServerProblem;
  /** Further members of the problem. */
  readonly more: object;
  /** When it is worth asking again, s; null where that is not known. */
  readonly afterS: number | null;
  constructor(
    code: ServerProblem,
    detail: string,
    { afterS = null, ...more }: { afterS?: number | null } & Record<string, unknown> = {},
  ) {
    super(detail);
    this.code = code;
    this.more = more;
    this.afterS = afterS;
  }
}

/**
 * Problem details (RFC 9457). Without a page of its own the type is `about:blank`, and the title
 * the words that HTTP has for the status.
 */
export function sendProblem(
  reply: FastifyReply,
  code: ServerProblem,
  detail: string,
  more: object = {},
): void {
  const [status, says] = SERVER_PROBLEMS[code];
  if (status === 503 && !reply.hasHeader('retry-after')) reply.header('retry-after', '5');
  if (status === 429 && !reply.hasHeader('retry-after')) reply.header('retry-after', '60');
  // Without a word of Basic: no browser is to ask in a window of its own (RFC 9110 section 11.6.1).
  if (status === 401) reply.header('www-authenticate', 'Bearer');
  reply
    .code(status)
    .header('content-type', 'application/problem+json')
    .send({
      type: 'about:blank',
      title: STATUS_CODES[status],
      status,
      detail: `${says}: ${detail}`,
      code,
      ...more,
    });
}

/** What was wrong with a request that did not fit its schema: where, expected, found. */
function misfit(error: FastifyError, request: FastifyRequest): string {
  const [first] = error.validation ?? [];
  const place = error.validationContext ?? 'request';
  const params = first?.params as Record<string, unknown> | undefined;
  const extra = params?.additionalProperty;
  if (typeof extra === 'string') return `expected nothing named '${extra}' in the query`;
  const name = (first?.instancePath ?? '').slice(1).split('/')[0] ?? '';
  const of = place === 'params' ? request.params : request.query;
  const found = (of as Record<string, unknown> | undefined)?.[name];
  const where = name === '' ? place : `'${name}'`;
  return `${where} ${first?.message ?? error.message}, found ${JSON.stringify(found)}`;
}

/**
 * Whatever went wrong, as problem details; faults of ours are said in the log as well. Returns what
 * was told.
 */
export function tellProblem(
  error: FastifyError | Refusal,
  request: FastifyRequest,
  reply: FastifyReply,
  say: (line: string) => void,
): ServerProblem {
  const [code, detail] = problemOf(error, request);
  if (error instanceof Refusal && error.afterS !== null) reply.header('retry-after', error.afterS);
  if (code === 'fault') say(`${request.method} ${request.url}: ${error.stack ?? error.message}`);
  sendProblem(reply, code, detail, error instanceof Refusal ? error.more : {});
  return code;
}

function problemOf(
  error: FastifyError | Refusal | StoreDamaged | StoreRefuses,
  request: FastifyRequest,
): [ServerProblem, string] {
  if (error instanceof Refusal) return [error.code, error.message];
  if (error instanceof StoreDamaged) return ['store-damaged', error.message];
  if (error instanceof StoreRefuses) return ['not-kept', error.message];
  if (error.validation) return ['bad-request', misfit(error, request)];
  const status = error.statusCode ?? 500;
  if (status === 413) return ['too-large', error.message];
  if (status === 415) return ['wrong-type', 'expected application/json'];
  return status < 500 ? ['bad-request', error.message] : ['fault', 'it is told in the log'];
}
