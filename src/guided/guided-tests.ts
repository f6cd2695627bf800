import type { LivingWell } from '../living/living-well.ts';
import { OWNER_TESTS } from '../model/owner-tests.ts';
import type { TestEntry } from '../model/study.ts';
import { bucketEntry, testEntriesNow } from '../pipeline/tests.ts';
import type { Clock } from '../ports/clock.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import type { WellFileBlock } from '../wellfile/add-block.ts';
import { testBlocks, utc, wellWith } from './blocks.ts';
import type { GuidedTest } from './guides.ts';
import {
  addPoint,
  advance,
  begun,
  confirm,
  GuideRefusal,
  giveUp,
  isOpen,
  keptTrace,
  look,
  missing,
  readingsDo,
  type Session,
  type,
} from './session.ts';
import { type Trace, traceOf } from './trace.ts';
import { pipelineUnder } from './under.ts';
import { type SessionView, viewOf } from './view.ts';
import type { Seen } from './watch.ts';

/** The well file of a well, which what is done here is written into. */
export interface FileOfWell {
  file(): Promise<{ text: string }>;
  add(block: WellFileBlock, by: string): Promise<unknown>;
}

/** Where work on the well is declared, so that nobody is told of what a test looks like. */
export interface Work {
  readonly service: { by: string } | null;
  declareService(did: string, by: string, forS: number): unknown;
  endService(by: string): void;
}

export interface GuidedPorts {
  store: ReadingStore;
  clock: Clock;
  work(wellId: string): Work | null;
  living(wellId: string): LivingWell | null;
  book(wellId: string): FileOfWell | null;
  /** Lets whatever else waits have its turn. */
  breathe(): Promise<void>;
}

/** Readings of before a test that it is followed with, s. */
const BEFORE_S = 900;
/** Of a long test only so much is looked at, s. */
const REACH_S = 3 * 3600;
/** A steady pressure is the mean of this, s. */
const STEADY_S = 60;
/** A test that is begun may take so much longer than it should before its readings are let go. */
const SPARE = 2;
const EVER_S = 8.64e12;
/** Who declares work while a test is on. */
const BY_TEST = 'a test made step by step';

interface Shown {
  trace: Trace;
  seen: Seen | null;
}

/** Tests that are made step by step, one at a time a well. */
export class GuidedTests {
  readonly #ports: GuidedPorts;
  readonly #sessions = new Map<string, Session>();
  readonly #shown = new Map<string, Shown>();
  readonly #loaded = new Set<string>();
  readonly #judging = new Set<string>();
  #turn: Promise<unknown> = Promise.resolve();

  constructor(ports: GuidedPorts) {
    this.#ports = ports;
  }

  /** The test that is on, or whose result waits to be kept; null where none is. */
  async on(wellId: string): Promise<SessionView | null> {
    await this.#load(wellId);
    const session = this.#sessions.get(wellId);
    const living = this.#ports.living(wellId);
    if (session === undefined || !isOpen(session) || living === null) return null;
    const { trace, seen } = this.#shown.get(wellId) ?? { trace: null, seen: null };
    const rate = living.now().test;
    return viewOf(session, { trace, seen, rate: rate?.what === session.test ? rate : null });
  }

  /** Those that were made or given up, the newest first. */
  async done(wellId: string): Promise<Session[]> {
    const all = await this.#ports.store.records(wellId, 'guide', -EVER_S, EVER_S);
    return all
      .map(({ body }) => body as Session)
      .filter((one) => !isOpen(one))
      .reverse();
  }

  begin(wellId: string, test: GuidedTest): Promise<void> {
    return this.#inTurn(async () => {
      await this.#load(wellId);
      const before = this.#sessions.get(wellId);
      if (before !== undefined && isOpen(before)) {
        const { name } = OWNER_TESTS[before.test];
        throw new GuideRefusal(`expected one test at a time, found a ${name} under way`);
      }
      const session = begun(test, this.#ports.clock.nowS());
      this.#sessions.set(wellId, session);
      this.#shown.delete(wellId);
      this.#askFor(wellId, session);
      this.#declare(wellId, test);
      await this.#keep(wellId, session);
      await this.#look(wellId, session);
    });
  }

  #declare(wellId: string, test: GuidedTest): void {
    const work = this.#ports.work(wellId);
    const { name, takesS } = OWNER_TESTS[test];
    if (work?.service === null) work.declareService(name, BY_TEST, SPARE * takesS);
  }

  /** Its steps are over, or it is given up: what stands is told again. */
  #endWork(wellId: string): void {
    const work = this.#ports.work(wellId);
    if (work?.service?.by === BY_TEST) work.endService(BY_TEST);
  }

  /** A step is done by hand; -1: the readings do as they come. */
  confirm(wellId: string, step: number): Promise<void> {
    return this.#change(wellId, (session, nowS) => {
      confirm(session, step, this.#shown.get(wellId)?.seen ?? null, nowS);
    });
  }

  type(wellId: string, key: string, text: string): Promise<void> {
    return this.#change(wellId, (session) => type(session, key, text));
  }

  addPoint(wellId: string, flow: string): Promise<void> {
    return this.#change(wellId, (session, nowS) => {
      const { pressure } = this.#shown.get(wellId)?.trace ?? { pressure: [] };
      const lastS = pressure.at(-1)?.timeS ?? NaN;
      const steady = pressure.filter(({ timeS }) => timeS > lastS - STEADY_S);
      const mean = steady.reduce((sum, { value }) => sum + value, 0) / steady.length;
      addPoint(session, flow, nowS, mean);
    });
  }

  giveUp(wellId: string): Promise<void> {
    return this.#change(wellId, (session) => giveUp(session));
  }

  /** Writes the test into the well file. */
  keep(wellId: string, by: string): Promise<void> {
    return this.#change(wellId, async (session) => {
      if (session.state !== 'judged')
        throw new GuideRefusal(`expected a test that is worked out, found it ${session.state}`);
      const book = this.#ports.book(wellId);
      const living = this.#ports.living(wellId);
      if (book === null || living === null)
        throw new GuideRefusal('expected a well file that can be written, found none');
      for (const block of testBlocks(session, living.well.units).slice(session.written)) {
        await book.add(block, by);
        session.written += 1;
      }
      session.state = 'kept';
    });
  }

  /** Follows the tests that are on; to be called once a second or so. Never throws. */
  async advance(wellIds: readonly string[], trouble: (error: unknown) => void): Promise<void> {
    for (const wellId of wellIds)
      await this.#inTurn(async () => {
        await this.#load(wellId);
        const session = this.#sessions.get(wellId);
        if (session !== undefined && isOpen(session)) await this.#look(wellId, session);
      }).catch(trouble);
  }

  async #look(wellId: string, session: Session): Promise<void> {
    const { store, clock } = this.#ports;
    const living = this.#ports.living(wellId);
    if (living === null) return;
    const nowS = clock.nowS();
    const fromS = Math.max(session.begunS - BEFORE_S, nowS - REACH_S);
    const trace = await traceOf(store, living.well, { fromS, toS: nowS + 1 });
    const before = session.step + session.state;
    const { test } = living.now();
    if (test?.fastEnough === true) readingsDo(session, nowS);
    if (test === null && OWNER_TESTS[session.test].readingS !== null) this.#askFor(wellId, session);
    const { learnt, well } = living;
    const known = {
      ...learnt,
      lastS: Math.max(trace.pressure.at(-1)?.timeS ?? NaN, trace.current.at(-1)?.timeS ?? NaN),
      cutInPaGauge: Number.isNaN(learnt.cutInPaGauge)
        ? (well.equipment.cutInPaGauge?.value ?? NaN)
        : learnt.cutInPaGauge,
    };
    // One step after the other, as each is seen.
    let seen = look(session, trace, known);
    while (advance(session, seen, nowS)) seen = look(session, trace, known);
    this.#shown.set(wellId, { trace, seen });
    if (session.state !== 'readings' && session.state !== 'on') this.#endWork(wellId);
    if (session.state === 'figures' && missing(session).length === 0)
      void this.#judge(wellId, session);
    if (before !== session.step + session.state) await this.#keep(wellId, session);
  }

  /** By the evaluation of a study of all that is kept, under the well file with this test in it. */
  async #judge(wellId: string, session: Session): Promise<void> {
    if (this.#judging.has(wellId)) return;
    this.#judging.add(wellId);
    try {
      const book = this.#ports.book(wellId);
      const living = this.#ports.living(wellId);
      if (book === null || living === null) return;
      const typed = JSON.stringify(session.typed);
      const { text } = await book.file();
      const well = wellWith(text, testBlocks(session, living.well.units));
      const pipeline = await pipelineUnder(well, this.#ports);
      const startS = Date.parse(utc(Math.min(...Object.values(session.marks)))) / 1000;
      const entry: TestEntry | null =
        session.test === 'bucket'
          ? bucketEntry(pipeline, startS)
          : (testEntriesNow(pipeline).find(
              ({ test, start }) => test === session.test && Date.parse(start) / 1000 === startS,
            ) ?? null);
      // What was typed meanwhile wants another look.
      if (session.state !== 'figures' || typed !== JSON.stringify(session.typed)) return;
      const { unusable, found, bearing } = entry ?? NOTHING;
      session.result = { unusable, found, bearing, at: utc(this.#ports.clock.nowS()) };
      session.state = 'judged';
    } catch (error) {
      const unusable = error instanceof Error ? error.message : String(error);
      session.result = { ...NOTHING, unusable, at: utc(this.#ports.clock.nowS()) };
      session.state = 'judged';
    } finally {
      this.#judging.delete(wellId);
      await this.#keep(wellId, session);
    }
  }

  #askFor(wellId: string, { test }: Session): void {
    const nowS = this.#ports.clock.nowS();
    const stopS = nowS + SPARE * OWNER_TESTS[test].takesS;
    this.#ports.living(wellId)?.ask({ what: test, startS: nowS, stopS });
  }

  #change(
    wellId: string,
    act: (session: Session, nowS: number) => void | Promise<void>,
  ): Promise<void> {
    return this.#inTurn(async () => {
      await this.#load(wellId);
      const session = this.#sessions.get(wellId);
      if (session === undefined || !isOpen(session))
        throw new GuideRefusal('expected a test that is on, found none');
      try {
        await act(session, this.#ports.clock.nowS());
      } catch (error) {
        await this.#keep(wellId, session);
        throw error;
      }
      if (isOpen(session)) await this.#look(wellId, session);
      else {
        session.trace = await this.#traceWith(wellId, session);
        // What it asked of the device holds no longer.
        this.#ports.living(wellId)?.forget(session.test);
        this.#endWork(wellId);
      }
      await this.#keep(wellId, session);
    });
  }

  /** What was read while it was made, however long its result has waited since. */
  async #traceWith(wellId: string, { begunS, passed }: Session): Promise<Trace | null> {
    const living = this.#ports.living(wellId);
    if (living === null) return null;
    const toS = (passed.at(-1)?.atS ?? this.#ports.clock.nowS()) + 1;
    const fromS = Math.max(begunS - BEFORE_S, toS - SPARE * REACH_S);
    return keptTrace(await traceOf(this.#ports.store, living.well, { fromS, toS }));
  }

  async #keep(wellId: string, session: Session): Promise<void> {
    const { id, begunS } = session;
    await this.#ports.store.putRecords(wellId, 'guide', begunS, [
      { id, atS: begunS, body: structuredClone(session) },
    ]);
  }

  /** What was under way when the service ended goes on. */
  async #load(wellId: string): Promise<void> {
    if (this.#loaded.has(wellId)) return;
    this.#loaded.add(wellId);
    const all = await this.#ports.store.records(wellId, 'guide', -EVER_S, EVER_S);
    const last = all.at(-1)?.body as Session | undefined;
    if (last !== undefined && isOpen(last)) this.#sessions.set(wellId, last);
  }

  #inTurn<T>(act: () => Promise<T>): Promise<T> {
    const done = this.#turn.then(act);
    this.#turn = done.catch(() => undefined);
    return done;
  }
}

const NOTHING: Pick<TestEntry, 'unusable' | 'found' | 'bearing'> = {
  unusable: 'the readings show nothing of it',
  found: [],
  bearing: [],
};
