import { silentServer } from './silent-server.ts';

/** A receiver that can go away, come back, take connections and say nothing, and close for good. */
export function outages(
  port: number,
  receiver: { away: () => Promise<void>; listen: (port: number) => Promise<unknown> },
) {
  const silent: { close: () => Promise<unknown> }[] = [];
  const { away } = receiver;
  const unmute = async () => {
    for (const one of silent.splice(0)) await one.close();
  };
  return {
    away,
    back: async () => {
      await receiver.listen(port);
    },
    mute: async () => {
      await away();
      silent.push(await silentServer(port));
    },
    close: async () => {
      await away();
      await unmute();
    },
  };
}
