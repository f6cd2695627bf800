import { instant } from '../base/instant.ts';
import { OWNER_TESTS } from '../model/owner-tests.ts';
import type { TestName } from '../model/study.ts';
import type { Well } from '../model/well.ts';
import type { TestRate } from '../model/well-now.ts';
import type { Please } from './events.ts';

/** A test is prepared for this long before its start, s: a device may look seldom for wishes. */
const AHEAD_S = 900;
/** The request is made again after this while readings stay too slow, s. */
const AGAIN_S = 60;
/** Pairs of a calibration are taken while pressure is held for a minute (common practice). */
const CALIBRATION_S = 1;
/** Asked for a little faster than needed: intervals are not all the same. */
const SPARE = 0.8;
/** Intervals that tell the rate. */
const KEPT = 5;

/** A test or calibration that somebody is about to make. */
export interface PlannedTest {
  what: TestName | 'calibration';
  startS: number;
  stopS: number;
}

/** Longest time between two pressure readings that it bears, s; null where it needs none. */
const needsS = (what: PlannedTest['what']): number | null =>
  what === 'calibration' ? CALIBRATION_S : OWNER_TESTS[what].readingS;

/** The tests of the well file, by their names in a study. */
export function plannedTests(well: Well): PlannedTest[] {
  return [
    ...well.bucketTests.map(({ startS, stopS }) => ({ what: 'bucket' as const, startS, stopS })),
    ...well.otherTests.map(({ kind, startS, stopS }) => ({
      what: kind.replace(/_test$/, '') as TestName,
      startS,
      stopS,
    })),
  ];
}

/** Sees to it that a test gets the readings it needs, or that it is known before that it won't. */
export class TestWatch {
  readonly #timeS: number[] = [];
  #asked: PlannedTest[] = [];
  #pleasedS = NaN;

  ask(test: PlannedTest): void {
    this.#asked.push(test);
    this.#pleasedS = NaN;
  }

  /** Goes on with what another has heard and was asked. */
  takeOver(before: TestWatch): void {
    this.#timeS.push(...before.#timeS);
    this.#asked = before.#asked;
  }

  forget(what: PlannedTest['what']): void {
    this.#asked = this.#asked.filter((one) => one.what !== what);
  }

  /** Times of new pressure readings, rising or not. */
  notePressure(timeS: number): void {
    const times = this.#timeS;
    times.push(timeS);
    times.sort((a, b) => a - b);
    if (times.length > KEPT + 1) times.shift();
  }

  /** The most demanding test that is on or near, and how its readings come. */
  rate(tests: readonly PlannedTest[], nowS: number, onChange: boolean): TestRate | null {
    this.#asked = this.#asked.filter(({ stopS }) => stopS > nowS);
    const near = [...tests, ...this.#asked]
      .filter(({ what }) => needsS(what) !== null)
      .filter(({ startS, stopS }) => startS - AHEAD_S <= nowS && nowS < stopS)
      .sort((a, b) => needsS(a.what)! - needsS(b.what)!)[0];
    if (near === undefined) return null;
    const needs = needsS(near.what)!;
    const gets = this.getsS(nowS);
    return {
      what: near.what,
      start: instant(near.startS),
      stop: instant(near.stopS),
      needsS: needs,
      getsS: gets,
      // What is reported on change shows what happens however long it is silent.
      fastEnough: onChange ? true : gets === null ? null : gets <= needs,
    };
  }

  /** What the device should be asked for now; null for nothing. */
  please(rate: TestRate | null, nowS: number): Please | null {
    if (rate === null || rate.fastEnough !== false) return null;
    if (Math.abs(nowS - this.#pleasedS) < AGAIN_S) return null;
    this.#pleasedS = nowS;
    const forS = Math.ceil(Date.parse(rate.stop) / 1000 - nowS);
    return { intervalS: Math.max(1, Math.floor(SPARE * rate.needsS)), forS };
  }

  /** The middle of the last intervals, or the silence since where that is longer already [s]. */
  getsS(nowS: number): number | null {
    const times = this.#timeS;
    if (times.length <= KEPT) return null;
    const gaps = times.slice(1).map((at, i) => at - times[i]!);
    gaps.sort((a, b) => a - b);
    return Math.max(gaps[gaps.length >> 1]!, (nowS - times.at(-1)!) / 2);
  }
}
