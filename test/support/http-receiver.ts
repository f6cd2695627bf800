import { once } from 'node:events';
import { createServer, type IncomingHttpHeaders, type Server } from 'node:http';
import { outages } from './outages.ts';

export interface Received {
  path: string;
  headers: IncomingHttpHeaders;
  body: Buffer;
}

/** An HTTP server that keeps what is posted to it. */
export async function httpReceiver() {
  const received: Received[] = [];
  let status = 204;
  let server: Server;
  const listen = async (port: number): Promise<number> => {
    server = createServer(async (request, response) => {
      const pieces: Buffer[] = [];
      for await (const piece of request) pieces.push(piece as Buffer);
      if (status < 300)
        received.push({
          path: request.url ?? '',
          headers: request.headers,
          body: Buffer.concat(pieces),
        });
      response.writeHead(status).end();
    });
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
    url: `http://127.0.0.1:${port}`,
    received,
    answer: (with_: number) => {
      status = with_;
    },
    ...outages(port, { away, listen }),
  };
}
