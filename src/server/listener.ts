import { createServer, type RequestListener, type Server } from 'node:http';
import { createServer as createTlsServer } from 'node:https';
import type { Served } from './served.ts';

/** Makes the server that the interface speaks with, by TLS where there is a certificate. */
export function listenerFor({ limits, tls, counts }: Served): (handler: RequestListener) => Server {
  const withinMs = limits.headersWithinS * 1000;
  const options = {
    maxHeaderSize: limits.headerBytes,
    headersTimeout: withinMs,
    requestTimeout: limits.requestWithinS * 1000,
    keepAliveTimeout: limits.idleS * 1000,
  };
  const secure = { ...tls, minVersion: 'TLSv1.2', handshakeTimeout: withinMs } as const;
  return (handler) => {
    const server =
      tls === null
        ? createServer(options, handler)
        : createTlsServer({ ...options, ...secure }, handler);
    server.setTimeout(limits.silentS * 1000);
    server.on('tlsClientError', ({ code }: NodeJS.ErrnoException) => {
      const slow = code === 'ERR_TLS_HANDSHAKE_TIMEOUT';
      counts.add(slow ? 'http:too-slow' : 'http:bad-request');
    });
    return server;
  };
}
