import type { ServerResponse } from 'node:http';
import { networkOf } from '../base/network-of.ts';
import type { LivingEvent } from '../living/events.ts';
import type { ServerLimits } from './limits.ts';

interface Listener {
  response: ServerResponse;
  wellId: string | null;
  /** Whether whoever listens still may. */
  holds(): boolean;
  /** Whom it listens for. */
  from: string;
}

interface Sent {
  id: string;
  well: string;
  text: string;
}

/**
 * What happens, to those who listen (server-sent events, HTML Living Standard section 9.2). The
 * last events are kept: who comes back with the id of the last one heard gets those in between,
 * or is told that there is a gap.
 */
export class Feed {
  readonly #limits: ServerLimits;
  /** Ids of another start are not those of this one. */
  readonly #start: string;
  readonly #listeners = new Set<Listener>();
  readonly #heartbeat: NodeJS.Timeout;
  #kept: Sent[] = [];
  #count = 0;
  readonly counts = { 'listeners-turned-away': 0, 'listeners-cut-off': 0, 'gaps-told': 0 };

  /** `start`: a name of this start of the service, of letters and digits. */
  constructor(limits: ServerLimits, start: string) {
    this.#limits = limits;
    this.#start = start;
    const beat = () => {
      this.#endWhoMayNot();
      this.#write([...this.#listeners], 'event: here\ndata: {"kind":"here"}\n\n');
    };
    this.#heartbeat = setInterval(beat, limits.heartbeatS * 1000).unref();
  }

  get listening(): number {
    return this.#listeners.size;
  }

  tell(event: LivingEvent): void {
    this.#count += 1;
    const id = `${this.#start}-${this.#count}`;
    const text = `id: ${id}\nevent: ${event.kind}\ndata: ${JSON.stringify(event)}\n\n`;
    this.#kept.push({ id, well: event.well, text });
    if (this.#kept.length > 2 * this.#limits.eventsKept)
      this.#kept = this.#kept.slice(-this.#limits.eventsKept);
    this.#write(
      [...this.#listeners].filter(({ wellId }) => wellId === null || wellId === event.well),
      text,
    );
  }

  /** Whether one more may listen from there; who may not is counted. */
  hasRoom(from: string): boolean {
    const same = [...this.#listeners].filter((one) => one.from === from).length;
    const { listeners, listenersAnAddress } = this.#limits;
    const room = this.#listeners.size < listeners && same < listenersAnAddress;
    if (!room) this.counts['listeners-turned-away'] += 1;
    return room;
  }

  /** `lastId`: of the last event that this one has heard. */
  listen({ lastId, ...asked }: Omit<Listener, 'from'> & { lastId: string | null }): void {
    const { response, wellId } = asked;
    const listener = { ...asked, from: networkOf(response.socket?.remoteAddress ?? '') };
    this.#listeners.add(listener);
    response.on('close', () => this.#listeners.delete(listener));
    response.on('error', () => this.#listeners.delete(listener));
    response.writeHead(200, {
      'content-type': 'text/event-stream',
      'cache-control': 'no-store',
      'x-accel-buffering': 'no',
    });
    response.write('retry: 2000\n\n');
    if (lastId !== null) for (const text of this.#since(lastId, wellId)) response.write(text);
  }

  close(): void {
    clearInterval(this.#heartbeat);
    for (const { response } of this.#listeners) response.end();
    this.#listeners.clear();
  }

  /** A session that is over, a key revoked. */
  #endWhoMayNot(): void {
    for (const listener of this.#listeners) {
      if (listener.holds()) continue;
      this.#listeners.delete(listener);
      listener.response.end();
    }
  }

  #since(lastId: string, wellId: string | null): string[] {
    const kept = this.#kept.slice(-this.#limits.eventsKept);
    const at = kept.findIndex(({ id }) => id === lastId);
    if (at < 0 && lastId === `${this.#start}-${this.#count}`) return [];
    if (at < 0) {
      this.counts['gaps-told'] += 1;
      return ['event: gap\ndata: {"kind":"gap"}\n\n'];
    }
    return kept
      .slice(at + 1)
      .filter(({ well }) => wellId === null || well === wellId)
      .map(({ text }) => text);
  }

  /** Who does not read is cut off: it comes back and is told what it missed. */
  #write(listeners: readonly Listener[], text: string): void {
    for (const listener of listeners) {
      const { response } = listener;
      if (response.writableLength + text.length <= this.#limits.listenerBytes) response.write(text);
      else {
        this.counts['listeners-cut-off'] += 1;
        this.#listeners.delete(listener);
        response.destroy();
      }
    }
  }
}
