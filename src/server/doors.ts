import type { Server } from 'node:http';
import { isIP, type Socket } from 'node:net';
import type { Duplex } from 'node:stream';
import type { FastifyInstance } from 'fastify';
import { networkOf } from '../base/network-of.ts';
import { Paces } from '../base/paces.ts';
import type { ServerCounts } from './counts.ts';
import type { ServerLimits } from './limits.ts';
import { Refusal } from './problems.ts';
import type { Served } from './served.ts';

/** A page that opens asks for much at once: so many seconds' worth may come together. */
const AT_ONCE_S = 2;
const MINUTE_S = 60;
const LONGEST_SHOWN = 100;

/** Connections that the server ends by itself, before or after they say anything. */
export function boundConnections(server: Server, limits: ServerLimits, counts: ServerCounts): void {
  const open = new Map<string, number>();
  server.maxConnections = limits.httpConnections;
  server.on('drop', () => counts.add('http-turned-away'));
  server.on('connection', (socket: Socket) => {
    const from = networkOf(socket.remoteAddress ?? '');
    const same = (open.get(from) ?? 0) + 1;
    if (same > limits.httpConnectionsAnAddress) {
      counts.add('http-turned-away');
      socket.destroy();
      return;
    }
    open.set(from, same);
    socket.once('close', () => {
      const left = open.get(from)! - 1;
      if (left === 0) open.delete(from);
      else open.set(from, left);
    });
  });
  // Who listens here has to end the connection.
  server.on('timeout', (socket: Duplex) => {
    counts.add('http-silent-closed');
    socket.destroy();
  });
}

/** Requests of one address, and among them those that change something, are only so many. */
export function boundRates(app: FastifyInstance, limits: ServerLimits): void {
  const { requestsPerS, actsAMinute } = limits;
  const requests = new Paces({ perS: requestsPerS, burst: requestsPerS * AT_ONCE_S });
  const acts = new Paces({ perS: actsAMinute / MINUTE_S, burst: actsAMinute });
  app.addHook('onRequest', async (request) => {
    const from = networkOf(request.socket.remoteAddress ?? '');
    const nowS = performance.now() / 1000;
    const isAct = !['GET', 'HEAD'].includes(request.method) && !isReadings(request.url);
    const waitS = Math.max(requests.waitS(from, nowS), isAct ? acts.waitS(from, nowS) : 0);
    if (waitS > 0) {
      const detail = `expected at most ${requestsPerS} a second, and ${actsAMinute} acts a minute`;
      // A device keeps what is not taken now, and drops what is told to be of no use.
      const code = isReadings(request.url) ? 'busy' : 'too-often';
      throw new Refusal(code, detail, { afterS: Math.ceil(waitS) });
    }
    requests.spend(from, 1, nowS);
    if (isAct) acts.spend(from, 1, nowS);
  });
}

const isReadings = (url: string): boolean => /^\/api\/v1\/wells\/[^/?]+\/readings$/.test(url);

/** Names that no server of the public internet can have (RFC 6761, 6762, 8375; common practice). */
const AT_HOME = /^[^.]+$|\.(?:localhost|local|home\.arpa|internal|lan|home)$/;

/**
 * A page of another server could have its own name lead here, and a browser would let it ask what
 * it likes as if it were ours (DNS rebinding). So the service answers to addresses, to names that
 * only a home can give, to those of its certificate and to those that it was told.
 */
export function boundHosts(app: FastifyInstance, { hostNames, gate }: Served): void {
  const known = new Set(hostNames.map((name) => name.toLowerCase()));
  app.addHook('onRequest', async ({ headers: { host } }) => {
    // Without it whoever asks is no browser.
    if (host === undefined) return;
    const name = nameOf(host);
    if (isIP(name) !== 0 || AT_HOME.test(name) || known.has(name) || gate?.isOurs(name)) return;
    const found = JSON.stringify(host.slice(0, LONGEST_SHOWN));
    throw new Refusal('wrong-host', `expected an address or a name of the house, found ${found}`);
  });
}

/** Of a host its name, without port, brackets and a last point. */
const nameOf = (host: string): string =>
  host
    .toLowerCase()
    .replace(/:\d*$/, '')
    .replace(/^\[(.*)\]$/, '$1')
    .replace(/\.$/, '');
