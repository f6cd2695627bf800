import type { Socket } from 'node:net';
import type { Counters } from '../counters.ts';
import type { Limits } from '../limits.ts';
import { WireGauge } from './wire-gauge.ts';

/** Room for topic and header beside the pack. */
const HEADER_BYTES = 1024;

/**
 * Stands between a socket and the broker, which reads it by `read`: ends a connection that
 * announces too large a packet before it is gathered, and lets one that sends too many wait.
 */
export function guard(socket: Socket, limits: Limits, counters: Counters): void {
  const gauge = new WireGauge(limits.packBytes + HEADER_BYTES);
  const read = socket.read.bind(socket);
  let credit = limits.packetsPerS;
  let credited = performance.now();
  let timer: NodeJS.Timeout | null = null;
  socket.read = (size?: number) => {
    const now = performance.now();
    credit = Math.min(limits.packetsPerS, credit + ((now - credited) / 1000) * limits.packetsPerS);
    credited = now;
    if (credit < 0) {
      counters.add('slowed-down');
      timer ??= setTimeout(
        () => {
          timer = null;
          socket.emit('readable');
        },
        Math.ceil((-credit / limits.packetsPerS) * 1000),
      );
      return null;
    }
    const chunk = read(size);
    if (chunk === null) return null;
    const before = gauge.packets;
    if (!gauge.see(chunk)) {
      counters.add('refused:too-large');
      socket.destroy();
      return null;
    }
    credit -= gauge.packets - before;
    return chunk;
  };
  socket.on('close', () => clearTimeout(timer ?? undefined));
}
