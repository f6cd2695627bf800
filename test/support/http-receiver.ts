import { once } from 'node:events';
import {
  createServer,
  type IncomingHttpHeaders,
  type RequestListener,
  type Server,
} from 'node:http';
import { createServer as createTlsServer } from 'node:https';
import { outages } from './outages.ts';

export interface Received {
  path: string;
  headers: IncomingHttpHeaders;
  body: Buffer;
}

/** An HTTP server, over TLS where it is given what that takes, that keeps what is posted to it. */
export async function httpReceiver(tls: { key: string; cert: string } | null = null) {
  const received: Received[] = [];
  let status = 204;
  let server: Server;
  const listen = async (port: number): Promise<number> => {
    const take: RequestListener = async (request, response) => {
      const pieces: Buffer[] = [];
      for await (const piece of request) pieces.push(piece as Buffer);
      if (status < 300)
        received.push({
          path: request.url ?? '',
          headers: request.headers,
          body: Buffer.concat(pieces),
        });
      response.writeHead(status).end();
    };
    server = tls === null ? createServer(take) : createTlsServer(tls, take);
    server.listen(port, '127.0.0.1');
    await once(server, 'listening');
    return (server.address() as { port: number }).port;
  };
  const port = await listen(0);
  const away = async () => {
    server.closeAllConnections();
    if (server.listening) await new Promise((resolve) => server.close(resolve));
  };
  return {
    port,
    url: `http${tls === null ? '' : 's'}://127.0.0.1:${port}`,
    received,
    answer: (with_: number) => {
      status = with_;
    },
    ...outages(port, { away, listen }),
  };
}
