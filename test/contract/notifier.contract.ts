import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Notice } from '../../src/model/alarm.ts';
import { type Notifier, NotTold } from '../../src/ports/notifier.ts';

export interface Heard {
  id: string;
  subject: string;
  text: string;
}

/** A notifier and the receiver at its other end. */
export interface TellingPlace {
  notifier: Notifier;
  /** What the receiver has taken, in order. */
  heard(): Heard[];
  /** The receiver is not there; and is there again. */
  away(): Promise<void>;
  back(): Promise<void>;
  /** Refuses from now on, for good or for a while; null where the way has no such word. */
  refuse: ((how: 'for-good' | 'for-a-while') => void) | null;
  /** Takes connections and says nothing more; null where there is no connection. */
  mute: (() => Promise<void>) | null;
  /** What must not be in an error. */
  secrets: string[];
  close(): Promise<void>;
}

export const noticeOf = (more: Partial<Notice> = {}): Notice => ({
  id: 'ridge-house-notice-1',
  kind: 'raised',
  well: 'ridge-house',
  wellName: 'Ridge house',
  urgency: 'now',
  at: '2026-06-01T10:00:00.000Z',
  alarm: 'alarm-1',
  fault: 'leak-burst',
  subject: 'Now: a pipe has burst (Söderby brønn ½")',
  text: 'A pipe has burst.\n\nDo: Look for water.\n\nCaution: a flooded room, 40 °C, “stay away”.',
  ...more,
});

/** What every notifier keeps to. */
export function notifierContract(name: string, make: () => Promise<TellingPlace>): void {
  describe(`${name}, as a notifier`, () => {
    let place: TellingPlace;
    beforeEach(async () => {
      place = await make();
    });
    afterEach(() => place.close());

    /** What telling comes to: null where it was taken. */
    const fails = async (notice: Notice): Promise<NotTold | null> => {
      const error = await place.notifier.tell(notice).then(
        () => null,
        (thrown: unknown) => thrown,
      );
      if (error !== null) expect(error).toBeInstanceOf(NotTold);
      const said = (error as NotTold | null)?.message ?? '';
      for (const secret of place.secrets) expect(said).not.toContain(secret);
      return error as NotTold | null;
    };

    it('has the notice at its receiver once it resolves, whole, with its id', async () => {
      const notice = noticeOf();
      await place.notifier.tell(notice);
      const { id, subject, text } = notice;
      expect(place.heard()).toEqual([{ id, subject, text }]);
    });

    it('tells many at once, each once', async () => {
      const ids = Array.from({ length: 10 }, (_, i) => `notice-${i}`);
      await Promise.all(ids.map((id) => place.notifier.tell(noticeOf({ id }))));
      expect(
        place
          .heard()
          .map(({ id }) => id)
          .sort(),
      ).toEqual(ids);
    });

    it('says so where nobody is there, and tells once somebody is', async () => {
      await place.away();
      expect((await fails(noticeOf({ id: 'lost' })))?.again).toBe(true);
      await place.back();
      expect(await fails(noticeOf({ id: 'later' }))).toBeNull();
      expect(place.heard().map(({ id }) => id)).toEqual(['later']);
    });

    it('goes on after a receiver that went away between two', async () => {
      expect(await fails(noticeOf({ id: 'first' }))).toBeNull();
      await place.away();
      await place.back();
      // A connection that was kept may only now be found broken: then it is worth another try.
      const second = await fails(noticeOf({ id: 'second' }));
      if (second !== null) {
        expect(second.again).toBe(true);
        expect(await fails(noticeOf({ id: 'second' }))).toBeNull();
      }
      expect(place.heard().at(-1)?.id).toBe('second');
    });

    it('tells a refusal for good from one that time may mend', async () => {
      if (place.refuse === null) return expect(name).toContain('MQTT');
      place.refuse('for-a-while');
      expect((await fails(noticeOf()))?.again).toBe(true);
      place.refuse('for-good');
      expect((await fails(noticeOf()))?.again).toBe(false);
      expect(place.heard()).toEqual([]);
    });

    it('does not wait for ever where nobody answers', async () => {
      if (place.mute === null) return expect(name).toContain('memory');
      await place.mute();
      const beganMs = performance.now();
      expect((await fails(noticeOf()))?.again).toBe(true);
      expect(performance.now() - beganMs).toBeLessThan(5000);
    });
  });
}
