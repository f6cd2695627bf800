import { once } from 'node:events';
import { createServer, type Socket } from 'node:net';

/** Takes connections at a port and says nothing. */
export async function silentServer(port: number) {
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on('error', () => undefined).on('close', () => sockets.delete(socket));
  });
  server.listen(port, '127.0.0.1');
  await once(server, 'listening');
  return {
    close: async () => {
      for (const socket of sockets) socket.destroy();
      await new Promise((resolve) => server.close(resolve));
    },
  };
}
