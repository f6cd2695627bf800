import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { ReadingSource } from '../../src/ports/reading-source.ts';
import { StoreRefuses } from '../../src/ports/reading-store.ts';
import { type Intake, intakeWith, NOW_S, until } from '../support/intake.ts';
import { MemoryReadings } from '../support/memory-readings.ts';

/** One reading of `pressure` as the way in is fed with it. */
export interface Fed {
  timeS: number;
  pressurePa: number;
}

/** A source with what stands before it: a device, a broker, a file. */
export interface Feed {
  source: ReadingSource;
  /** Feeds it; resolves once acknowledged, rejects where it is told that it was not. */
  feed(readings: readonly Fed[]): Promise<void>;
  /** Feeds something that cannot be used; resolves with what the sender is told of it. */
  feedRefused(): Promise<string>;
  /** Ends what stands before the source. */
  end(): Promise<void>;
}

/** What every source of readings keeps to, whatever the readings come in by. */
export function readingSourceContract(
  name: string,
  makeFeed: (intake: Intake) => Promise<Feed>,
): void {
  describe(`${name}, as a source of readings`, () => {
    let intake: Intake;
    let feed: Feed;
    let store: MemoryReadings;
    beforeEach(async () => {
      store = new MemoryReadings();
      intake = await intakeWith({ tryAgainS: 0.1 }, { store });
      feed = await makeFeed(intake);
      await feed.source.open(intake.inbox);
    });
    afterEach(async () => {
      store.refuses = null;
      await feed.source.close();
      await feed.end();
      await intake.inbox.close();
    });

    const one = (i: number): Fed => ({ timeS: NOW_S - 100 + i, pressurePa: 3e5 + i });

    it('hands in what it is given: channel, time, value', async () => {
      await feed.feed([one(0), one(1), one(2)]);
      const kept = store.all().map(({ channel, timeS, value }) => [channel, timeS, value]);
      expect(kept).toEqual([0, 1, 2].map((i) => [0, NOW_S - 100 + i, 3e5 + i]));
    });

    it('acknowledges nothing before it is kept', async () => {
      let open = () => {};
      store.slow = () =>
        new Promise<void>((resolve) => {
          open = resolve;
        });
      let acknowledged = false;
      const feeding = feed.feed([one(0)]).then(() => {
        acknowledged = true;
      });
      await new Promise((resolve) => setTimeout(resolve, 100));
      expect(acknowledged).toBe(false);
      expect(store.packs).toEqual([]);
      store.slow = () => Promise.resolve();
      open();
      await feeding;
      expect(store.all()).toHaveLength(1);
    });

    it('acknowledges nothing while the store refuses, and takes readings again after', async () => {
      store.refuses = new StoreRefuses('disk-full', 'no room');
      let ended = '';
      const feeding = feed.feed([one(0)]).then(
        () => {
          ended = 'acknowledged';
        },
        () => {
          ended = 'told';
        },
      );
      await until(() => intake.counters.of('not-acknowledged') > 0);
      await new Promise((resolve) => setTimeout(resolve, 50));
      expect(ended).not.toBe('acknowledged');
      expect(store.packs).toEqual([]);
      store.refuses = null;
      await until(() => intake.inbox.holds === null);
      if (ended === 'told') await feed.feed([one(0)]);
      await feeding;
      await until(() => store.all().length === 1);
    });

    it('takes what is handed in twice once', async () => {
      await feed.feed([one(0), one(1)]);
      await feed.feed([one(0), one(1)]);
      expect(store.all()).toHaveLength(2);
      expect(intake.counters.of('duplicates')).toBe(2);
    });

    it('tells of what cannot be used, and goes on', async () => {
      expect(await feed.feedRefused()).toMatch(/wrong-unit/);
      await feed.feed([one(5)]);
      expect(store.all()).toHaveLength(1);
    });

    it('closes once what it took is kept, and takes nothing more', async () => {
      let open = () => {};
      let waiting = false;
      store.slow = () =>
        new Promise<void>((resolve) => {
          waiting = true;
          open = resolve;
        });
      const feeding = feed.feed([one(0)]).catch(() => undefined);
      await until(() => waiting);
      let closed = false;
      const closing = feed.source.close().then(() => {
        closed = true;
      });
      await new Promise((resolve) => setTimeout(resolve, 50));
      expect(closed).toBe(false);
      store.slow = () => Promise.resolve();
      open();
      await closing;
      await feeding;
      await feed.end();
      expect(store.all()).toHaveLength(1);
    });
  });
}
