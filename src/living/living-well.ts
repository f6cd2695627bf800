import { instant } from '../base/instant.ts';
import { CHANNELS } from '../model/reading.ts';
import type { FindingEntry, Outline, RunEntry, Study } from '../model/study.ts';
import type { Well } from '../model/well.ts';
import type { DeviceClock, WellNow } from '../model/well-now.ts';
import {
  DAY_CLOSES_S,
  type Present,
  presentState,
  restIntervalS,
  usualSilenceS,
} from '../pipeline/now.ts';
import { studyOf } from '../pipeline/result.ts';
import type { Clock } from '../ports/clock.ts';
import type { Kept, Pack, ReadingStore, StoredRecord } from '../ports/reading-store.ts';
import { ALWAYS_S, Analysis } from './analysis.ts';
import { Arrivals } from './arrivals.ts';
import { isWorthTelling } from './changes.ts';
import type { DayAlive } from './day-runs.ts';
import type { LivingEvent } from './events.ts';
import { madeBy } from './made-by.ts';
import { type PlannedTest, plannedTests, TestWatch } from './please.ts';
import { Records, recordsOf, TOLD_KINDS, type ToldKind } from './records.ts';

export interface LivingPorts {
  store: ReadingStore;
  clock: Clock;
  /** Lets whatever else waits have its turn. */
  breathe: () => Promise<void>;
  tell: (event: LivingEvent) => void;
  /** What the intake says of the clocks of a well's devices; without it nothing. */
  clocks?: ClocksPort;
}

export interface ClocksPort {
  /** Those that are wrong now. */
  wrong(wellId: string): DeviceClock[];
  /** Those that were ever set back, in words. */
  told(wellId: string): string[];
}

const PRESSURE = CHANNELS.indexOf('pressure');
const PRESSURE_RAW = CHANNELS.indexOf('pressure-raw');
/** An open day's record is brought up to date this often, s of reading time. */
const RECORDS_EVERY_S = 900;
/** More changes than this of runs or days are told as one; findings are few, and each counts. */
const TOLD_ONE_BY_ONE = 20;
/** Half an hour of silence is worth a word, as `study` says of a gap; two days want a look. */
const SILENCE_TOLD_S = 1800;
const SILENCE_LONG_S = 2 * 86_400;

/**
 * One well alive: a pipeline fed from the store, in order of time, after readings were kept. Calls
 * of `advance` make it go on, one a second or so; between them it does nothing.
 */
export class LivingWell {
  readonly well: Well;
  readonly #ports: LivingPorts;
  readonly #told: string[];
  readonly #analysis: Analysis;
  readonly #records: Records;
  readonly #arrivals = new Arrivals();
  readonly #tests: TestWatch = new TestWatch();
  readonly #planned: PlannedTest[];
  #present: Present | null = null;
  #replayS = NaN;
  #lastTold: WellNow | null = null;
  #recorded = '';
  #outline: Outline | null = null;
  #isOpen = false;
  #turn: Promise<unknown> = Promise.resolve();

  /** `told`: what reading the well file gave to tell; `codeVersion`: which code analyses. */
  constructor(well: Well, ports: LivingPorts, how: { codeVersion: string; told?: string[] }) {
    this.well = well;
    this.#ports = ports;
    this.#told = how.told ?? [];
    const { store, breathe } = ports;
    const trouble = (error: unknown): void => this.#trouble(error);
    const made = madeBy(well, how.codeVersion);
    this.#analysis = new Analysis(well, made, { store, breathe, trouble });
    this.#records = new Records(store, well.id, breathe);
    this.#planned = plannedTests(well);
  }

  /** Notes a pack that the store has kept. Quick, and never throws: an answer waits behind it. */
  kept(pack: Pack, kept: Kept): void {
    if (kept.accepted === 0) return;
    const nowS = this.#ports.clock.nowS();
    const { count, timeS, channel } = pack.readings;
    this.#arrivals.note(nowS, kept.earliestS, timeS.subarray(0, count));
    if (kept.earliestS < this.#analysis.askedToS) this.#arrivals.noteLate(nowS, kept.earliestS);
    for (let i = 0; i < count; i++)
      if (channel[i] === PRESSURE || channel[i] === PRESSURE_RAW)
        this.#tests.notePressure(timeS[i]!);
  }

  /** A test or calibration is about to be made: see to its readings. */
  ask(test: PlannedTest): void {
    this.#tests.ask(test);
  }

  /** The same well with an edited file: how its readings come is known already. */
  takeOver(before: LivingWell): void {
    this.#tests.takeOver(before.#tests);
  }

  /** Nobody makes that test any more. */
  forget(what: PlannedTest['what']): void {
    this.#tests.forget(what);
  }

  /** How fast pressure comes, for whoever thinks of making a test. */
  pressureRate(): { getsS: number | null; onChange: boolean } {
    const getsS = this.#tests.getsS(this.#ports.clock.nowS());
    return { getsS, onChange: restIntervalS(this.#analysis.pipeline) === 0 };
  }

  /** As learnt, NaN until then: amps above which the pump runs, cut-in; noise of pressure. */
  get learnt(): { onA: number; cutInPaGauge: number; noisePa: number } {
    const { tracker, estimation } = this.#analysis.pipeline;
    return {
      onA: tracker.threshold.thresholdA,
      cutInPaGauge: estimation.state.medianCutInPa,
      noisePa: tracker.pressureNoise.std,
    };
  }

  /** Goes on with what has come, and tells what has changed. */
  advance(): Promise<void> {
    return this.#inTurn(() => this.#advance(false));
  }

  /** The study of every reading kept so far, as if the log ended here; null without any. */
  study(): Promise<Study | null> {
    return this.#inTurn(async () => {
      await this.#advance(true);
      const clocks = this.#ports.clocks?.told(this.well.id) ?? [];
      return this.#analysis.study([...this.#told, ...clocks]);
    });
  }

  /** The study in short, as of when its records were brought up to date; null before that. */
  outline(): Outline | null {
    if (this.#outline === null) return null;
    const clocks = this.#ports.clocks?.told(this.well.id) ?? [];
    return { ...this.#outline, told: [...this.#told, ...clocks, ...this.#outline.told] };
  }

  /** How things stand, at the readings analysed so far and by the clock. */
  now(): WellNow {
    const nowS = this.#ports.clock.nowS();
    const present = this.#present ?? presentState(this.#analysis.pipeline);
    const { newestS } = this.#arrivals;
    const onChange = restIntervalS(this.#analysis.pipeline) === 0;
    return {
      ...present,
      lastReading: Number.isNaN(newestS) ? null : instant(newestS),
      silence: this.#silence(nowS),
      replay: Number.isNaN(this.#replayS) ? null : { at: instant(this.#replayS) },
      clocks: this.#ports.clocks?.wrong(this.well.id) ?? [],
      test: this.#tests.rate(this.#planned, nowS, onChange),
    };
  }

  /** Whether what was kept before it came to life has been analysed. */
  get isOpen(): boolean {
    return this.#isOpen;
  }

  /** Keeps where it stands, so that the next start has little to catch up with. */
  close(): Promise<void> {
    return this.#inTurn(async () => {
      const isSound = Number.isNaN(this.#arrivals.lateFromS);
      if (isSound) await this.#analysis.keep(this.#ports.clock.nowS());
    });
  }

  /** One thing at a time; what failed does not stop what comes after. */
  #inTurn<T>(work: () => Promise<T>): Promise<T> {
    const turn = this.#turn.then(work, work);
    this.#turn = turn.catch(() => undefined);
    return turn;
  }

  async #advance(lateNow: boolean): Promise<void> {
    const nowS = this.#ports.clock.nowS();
    const openS = this.#isOpen ? NaN : await this.#open(nowS);
    if (Number.isNaN(this.#analysis.beforeS)) await this.#analysis.load(ALWAYS_S);
    const restatedS = await this.#goBack(nowS, lateNow);
    const goalS = Number.isNaN(openS) ? this.#arrivals.goalS(nowS) : openS;
    if (goalS > this.#analysis.beforeS) {
      await this.#analysis.goTo(goalS, nowS, (atS) => this.#onSlice(atS, nowS));
      this.#arrivals.start(nowS, this.#analysis.lastTakenS);
      this.#present = presentState(this.#analysis.pipeline);
    }
    this.#isOpen = true;
    this.#replayS = NaN;
    await this.#bringRecords();
    if (!Number.isNaN(restatedS))
      this.#tell({ kind: 'restated', well: this.well.id, from: instant(restatedS) });
    this.#tellNow(nowS);
  }

  /** What the store has; up to where to go at first, NaN where that is as always. */
  async #open(nowS: number): Promise<number> {
    const all = await this.#ports.store.wells();
    const lastS = all.find(({ wellId }) => wellId === this.well.id)?.lastS ?? NaN;
    this.#arrivals.start(nowS, lastS);
    // Of those that the clock has not reached nothing tells which is the last before it.
    return lastS > nowS ? nowS : NaN;
  }

  /** Late readings: back to the last snapshot before them. NaN where there are none. */
  async #goBack(nowS: number, lateNow: boolean): Promise<number> {
    if (!lateNow && !this.#arrivals.isLateSettled(nowS)) return NaN;
    const lateS = this.#arrivals.takeLate();
    if (!(lateS < this.#analysis.beforeS)) return NaN;
    this.#replayS = lateS;
    await this.#ports.store
      .dropSnapshotsAfter(this.well.id, lateS)
      .catch((error: unknown) => this.#trouble(error));
    await this.#analysis.load(lateS);
    return lateS;
  }

  /** Far behind, what stands in the present is told as what it is: of before. */
  #onSlice(atS: number, nowS: number): void {
    if (nowS - atS > RECORDS_EVERY_S) this.#replayS = atS;
  }

  /** Puts what the study has to say anew into the store, and tells it. */
  async #bringRecords(): Promise<void> {
    const { pipeline } = this.#analysis;
    if (Number.isNaN(pipeline.firstS)) return;
    const { runs, drawTable, days } = pipeline.estimation.state;
    const findings = pipeline.plain.findings.all.map((one) => [
      one.fault,
      one.probability,
      one.clearedS,
      one.replacedBy,
    ]);
    const part = Math.floor(pipeline.lastS / RECORDS_EVERY_S);
    const state = JSON.stringify([runs.rows, drawTable.rows, days.length, part, findings]);
    if (state === this.#recorded) return;
    // What fails is tried again with the next change.
    this.#recorded = state;
    const endsS = new Map(days.map(({ date, endS }) => [date, endS]));
    const isOpen = (date: string): boolean => pipeline.lastS < endsS.get(date)! + DAY_CLOSES_S;
    await this.#ports.breathe();
    const study = studyOf(pipeline, { setAside: [], told: [] });
    await this.#ports.breathe();
    const records = recordsOf(study, { isOpen, zone: this.well.timeZone });
    const { runs: _runs, days: _days, draws: _draws, findings: _findings, ...outline } = study;
    this.#outline = outline;
    // Of the time before its first reading this study knows nothing, but an earlier one did.
    const staysBeforeS = this.#analysis.rawFromS === null ? -Infinity : pipeline.firstS;
    try {
      for (const kind of TOLD_KINDS) {
        await this.#ports.breathe();
        const changed = await this.#records.bring(kind, records[kind], staysBeforeS);
        this.#tellRecords(kind, changed);
      }
    } catch (error) {
      this.#trouble(error);
    }
  }

  #tellRecords(kind: ToldKind, changed: StoredRecord[]): void {
    const well = this.well.id;
    if (kind === 'draw' || changed.length === 0) return;
    if (kind !== 'finding' && changed.length > TOLD_ONE_BY_ONE) {
      const fromS = changed.reduce((least, { atS }) => Math.min(least, atS), Infinity);
      this.#tell({ kind: 'restated', well, from: instant(fromS) });
      return;
    }
    for (const { body } of changed) {
      if (kind === 'run') this.#tell({ kind, well, run: body as RunEntry });
      else if (kind === 'day') this.#tell({ kind, well, day: body as DayAlive });
      else this.#tell({ kind, well, finding: body as FindingEntry });
    }
  }

  #tellNow(nowS: number): void {
    const now = this.now();
    const please = this.#tests.please(now.test, nowS);
    if (please !== null) this.#tell({ kind: 'please', well: this.well.id, please });
    if (!isWorthTelling(this.#lastTold, now)) return;
    this.#lastTold = now;
    this.#tell({ kind: 'now', well: this.well.id, now });
  }

  #silence(nowS: number): WellNow['silence'] {
    const { newestS, usualPauseS } = this.#arrivals;
    const byReadingsS = usualSilenceS(this.#analysis.pipeline);
    // A device may gather its readings and send them now and then.
    const pauseS = Number.isNaN(usualPauseS) ? SILENCE_TOLD_S : usualPauseS;
    const usualS = Math.max(byReadingsS, pauseS);
    const forS = nowS - newestS;
    if (!(byReadingsS > 0) || !(forS > usualS)) return null;
    const urgency = forS >= SILENCE_LONG_S ? 'days' : forS > SILENCE_TOLD_S ? 'note' : null;
    return { since: instant(newestS), forS, usualS, urgency };
  }

  #trouble(error: unknown): void {
    const says = error instanceof Error ? error.message : String(error);
    this.#tell({ kind: 'trouble', well: this.well.id, says });
  }

  /** Who listens may fail; the analysis goes on. */
  #tell(event: LivingEvent): void {
    try {
      this.#ports.tell(event);
    } catch (error) {
      if (event.kind !== 'trouble') this.#trouble(error);
    }
  }
}
