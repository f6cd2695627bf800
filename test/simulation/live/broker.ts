import { once } from 'node:events';
import { createServer, type Server, type Socket } from 'node:net';
import { createServer as createTlsServer } from 'node:tls';
import { Aedes, type AedesOptions, type AuthorizePublishHandler } from 'aedes';
import { readPack, type SenmlPack } from '../../../src/messages/senml/readings.ts';

export interface Broker {
  url: string;
  aedes: Aedes;
  /** Packs in order of arrival, as often as they came. */
  packs: SenmlPack[];
  /** Cuts every connection as a dead network does. */
  cut(): void;
  close(): Promise<void>;
}

type PublishHook = (
  packet: Parameters<AuthorizePublishHandler>[1],
  done: (error?: Error | null) => void,
) => void;

export interface BrokerOptions {
  port?: number;
  authenticate?: AedesOptions['authenticate'];
  tls?: { key: string; cert: string };
  /** Decides when a pack is safe, which is when it is acknowledged. */
  onPack?: PublishHook;
}

/** A real broker in this process on a real socket, for `wells/<id>/readings` of any well. */
export async function openBroker(options: BrokerOptions = {}): Promise<Broker> {
  const packs: SenmlPack[] = [];
  const onPack: PublishHook = options.onPack ?? ((_, done) => done());
  const aedes = await Aedes.createBroker({
    ...(options.authenticate === undefined ? {} : { authenticate: options.authenticate }),
    authorizePublish: (_, packet, done) => {
      if (!packet.topic.endsWith('/readings')) return done(null);
      packs.push(readPack(JSON.parse(packet.payload.toString())));
      onPack(packet, done);
    },
  });
  const sockets = new Set<Socket>();
  const take = (socket: Socket) => {
    sockets.add(socket);
    socket.on('close', () => sockets.delete(socket));
    socket.on('error', () => socket.destroy());
    aedes.handle(socket, undefined as never);
  };
  const server: Server =
    options.tls === undefined ? createServer(take) : createTlsServer(options.tls, take);
  server.listen(options.port ?? 0);
  await once(server, 'listening');
  const { port } = server.address() as { port: number };
  const cut = () => {
    for (const socket of sockets) socket.destroy();
  };
  return {
    url: `${options.tls === undefined ? 'mqtt' : 'mqtts'}://localhost:${port}`,
    aedes,
    packs,
    cut,
    close: async () => {
      cut();
      server.close();
      await new Promise<void>((resolve) => aedes.close(resolve));
    },
  };
}
