import { once } from 'node:events';
import { createServer } from 'node:http';
import type { HttpReadings } from '../../src/ingest/http/http-readings.ts';

/** A plain HTTP server before the handler, as the service has one. */
export async function httpFront(readings: HttpReadings) {
  const server = createServer((request, response) => {
    const wellId = /^\/api\/v1\/wells\/([^/]+)\/readings$/.exec(request.url ?? '')?.[1] ?? '';
    readings
      .handle({ wellId, headers: request.headers, body: request })
      .then(({ status, headers, body }) => response.writeHead(status, headers).end(body));
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address() as { port: number };
  return {
    port,
    url: (wellId: string) => `http://127.0.0.1:${port}/api/v1/wells/${wellId}/readings`,
    close: async () => {
      server.closeAllConnections();
      if (server.listening) await new Promise((resolve) => server.close(resolve));
    },
  };
}
