import type { ReadingBatch } from '../../model/reading.ts';
import type { Clock } from '../../ports/clock.ts';
import type { Arrived, Inbox, ReadingSource } from '../../ports/reading-source.ts';
import type { Kept } from '../../ports/reading-store.ts';
import type { Counters } from '../counters.ts';
import { takePatiently } from '../hand-in.ts';
import type { LogOptions, LogReport } from './log-types.ts';
import { readLogs } from './read-logs.ts';

const PACK_READINGS = 4096;
/** Packs under way at once: as many go into one commit. */
const AT_ONCE = 16;

export interface LogSourceOptions {
  paths: string[];
  wellId: string;
  /**
   * Readings of one device, channel and time are one. A log of what a device sent live, too, goes
   * under the name of that device.
   */
  device: string;
  log: LogOptions;
  clock: Clock;
  counters: Counters;
}

/** What came of the logs. */
export interface LogsTaken extends Kept {
  report: LogReport;
}

/**
 * Log files that are handed in as the history of a well. Handed in twice they change nothing: the
 * same readings have the same device, channel and time.
 */
export class LogSource implements ReadingSource {
  /** Resolves with what came of the logs; rejects with LogError where they cannot be read. */
  readonly done: Promise<LogsTaken>;
  readonly #options: LogSourceOptions;
  readonly #settle: { resolve: (taken: LogsTaken) => void; reject: (error: Error) => void };
  #inbox: Inbox | null = null;
  #closing = false;
  #running: Promise<void> = Promise.resolve();

  constructor(options: LogSourceOptions) {
    this.#options = options;
    const { promise, resolve, reject } = Promise.withResolvers<LogsTaken>();
    this.done = promise;
    this.#settle = { resolve, reject };
    // Whoever wants to know waits for `done`; a log that cannot be read ends no service.
    promise.catch(() => undefined);
  }

  open(inbox: Inbox): Promise<void> {
    this.#inbox = inbox;
    this.#running = this.#read().then(this.#settle.resolve, this.#settle.reject);
    return Promise.resolve();
  }

  async close(): Promise<void> {
    this.#closing = true;
    await this.#running;
  }

  async #read(): Promise<LogsTaken> {
    const sum: Kept = { accepted: 0, duplicate: 0, earliestS: Number.NaN };
    let underWay: Promise<void>[] = [];
    const report = await readLogs(this.#options.paths, this.#options.log, async (batch) => {
      for (let at = 0; at < batch.count; at += PACK_READINGS) {
        const taking = this.#take(this.#pack(batch, at), sum);
        // Met below, with the others; until then it is nobody's surprise.
        taking.catch(() => undefined);
        underWay.push(taking);
        if (underWay.length < AT_ONCE) continue;
        await Promise.all(underWay);
        underWay = [];
      }
    });
    await Promise.all(underWay);
    return { ...sum, report };
  }

  async #take(pack: Arrived, sum: Kept): Promise<void> {
    const { counters } = this.#options;
    const isGone = () => this.#closing;
    const kept = await takePatiently(this.#inbox!, pack, { isGone, counters });
    if (kept === null) throw new Error('the logs were not kept whole: the service stopped before');
    sum.accepted += kept.accepted;
    sum.duplicate += kept.duplicate;
    if (!(sum.earliestS <= kept.earliestS)) sum.earliestS = kept.earliestS;
  }

  #pack(batch: ReadingBatch, at: number): Arrived {
    const { wellId, device, clock } = this.#options;
    const end = Math.min(batch.count, at + PACK_READINGS);
    return {
      wellId,
      device,
      boot: null,
      seq: null,
      arrivedS: clock.nowS(),
      // Copied: a batch is used again for the next.
      readings: {
        count: end - at,
        timeS: batch.timeS.slice(at, end),
        channel: batch.channel.slice(at, end),
        value: batch.value.slice(at, end),
      },
      refused: [],
      uptimeS: null,
      bootBeganS: null,
    };
  }
}
