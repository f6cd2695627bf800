import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { Gate, Who } from '../ports/gate.ts';
import { Refusal } from './problems.ts';
import type { Served } from './served.ts';

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Who may, where it is not by the method: whoever looks reads, whoever changes owns. */
    may?: 'anyone' | 'device';
  }
  interface FastifyRequest {
    who: Who;
  }
}

/** The session of a browser: over TLS only, to this host only (RFC 6265bis section 4.1.3). */
export const COOKIE = '__Host-session';

const NOBODY: Who = { role: 'nobody', name: '', well: null, holds: () => true };
/** Where nobody needs to sign in, whoever is on this machine owns it. */
const OWNER_HERE: Who = { role: 'owner', name: 'owner', well: null, holds: () => true };

const SAFE = ['GET', 'HEAD', 'OPTIONS'];
/** What a page of anybody may send here without asking (Fetch Standard, section 2.2.2). */
const ANYBODYS = ['', 'text/plain', 'multipart/form-data', 'application/x-www-form-urlencoded'];

/** Looks at every request before any route does: from which page, by whom. */
export function guard(app: FastifyInstance, { gate }: Served): void {
  app.decorateRequest('who');
  app.addHook('onRequest', async (request) => {
    if (!SAFE.includes(request.method)) checkOrigin(request);
    request.who = gate === null ? OWNER_HERE : whoOf(request, gate);
    checkRight(request);
  });
  if (gate !== null) app.addHook('preValidation', async (request) => nameWhoActs(request));
}

/** Who acts is who is signed in, whatever name stands in what is asked. */
function nameWhoActs({ body, who, routeOptions: { schema } }: FastifyRequest): void {
  const { properties = {} } = (schema?.body ?? {}) as { properties?: object };
  const isObject = typeof body === 'object' && body !== null && !Array.isArray(body);
  if (isObject && 'by' in properties) Object.assign(body, { by: who.name });
}

/** Only a page of our own may change anything; what is no browser says nothing of pages. */
function checkOrigin({ headers, routeOptions, protocol }: FastifyRequest): void {
  const site = headers['sec-fetch-site'];
  const { origin, host } = headers;
  const isOurs =
    site === undefined
      ? origin === undefined || origin === `${protocol}://${host}`
      : site === 'same-origin';
  if (!isOurs)
    throw new Refusal('wrong-origin', `expected a page of this service, found ${origin ?? site}`);
  const type = (headers['content-type'] ?? '').split(';')[0]!.trim().toLowerCase();
  // The intake of readings says itself what it takes.
  if (routeOptions.config.may !== 'device' && ANYBODYS.includes(type))
    throw new Refusal('wrong-type', `expected application/json, found ${type || 'none'}`);
}

function whoOf({ headers, socket }: FastifyRequest, gate: Gate): Who {
  const key = keyIn(headers.authorization ?? '');
  if (key !== null) {
    const who = gate.byKey(key.key);
    const isTheirs = who !== null && (key.name === null || key.name === who.name);
    if (isTheirs) return who;
    throw new Refusal(
      'wrong-key',
      `expected a key that is in force, found none, from ${socket.remoteAddress}`,
    );
  }
  const token = tokenIn(headers.cookie ?? '');
  return (token === null ? null : gate.bySession(token)) ?? NOBODY;
}

/** A key alone (RFC 6750 section 2.1), or with the name it was given to (RFC 7617 section 2). */
function keyIn(authorization: string): { name: string | null; key: string } | null {
  const [, scheme = '', rest = ''] = /^(\w+) +(\S+)$/.exec(authorization) ?? [];
  if (scheme.toLowerCase() === 'bearer') return { name: null, key: rest };
  if (scheme.toLowerCase() !== 'basic')
    return authorization === '' ? null : { name: null, key: '' };
  const text = Buffer.from(rest, 'base64').toString('utf8');
  const colon = text.indexOf(':');
  return { name: text.slice(0, Math.max(0, colon)), key: text.slice(colon + 1) };
}

export function tokenIn(cookies: string): string | null {
  for (const one of cookies.split(/; */)) {
    const [name, value] = one.split('=');
    if (name === COOKIE && value !== undefined) return value;
  }
  return null;
}

function checkRight({ who, method, routeOptions, params }: FastifyRequest): void {
  const { may } = routeOptions.config;
  if (may === 'anyone' || who.role === 'owner') return;
  const asked = (params as { well?: string }).well;
  if (may === 'device' && who.role === 'device' && asked === who.well) return;
  if (may === undefined && SAFE.includes(method) && who.role === 'reader') return;
  if (who.role === 'nobody')
    throw new Refusal('sign-in', 'expected a session or a key, found none');
  throw new Refusal('not-allowed', `${who.name} (${who.role}): expected ${needed(may, method)}`);
}

const needed = (may: 'device' | undefined, method: string): string => {
  if (may === 'device') return 'a device of this well, or the owner';
  return SAFE.includes(method) ? 'a reader or the owner' : 'the owner';
};
