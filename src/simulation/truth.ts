import { instant } from '../base/instant.ts';
import { FOOT_M, GALLON_M3 } from './constants.ts';
import type { Books, Plant } from './plant/plant.ts';

export interface TruthDay {
  date: string;
  used_gal: number;
  leaked_gal: number;
  ran_back_gal: number;
  pumped_gal: number;
  static_level_ft: number;
  deepest_level_ft: number;
}

export interface TruthRun {
  start: string;
  stop: string | null;
  pumped_gal: number;
}

/** Mean flows over a quarter of an hour, and the water level at its end. */
export interface TruthFlow {
  start: string;
  pumped_gpm: number;
  used_gpm: number;
  leaked_gpm: number;
  ran_back_gpm: number;
  level_ft: number;
}

/** One fault as it really was; instants of its beginning, full growth and mending. */
export interface TruthFault {
  name: string;
  form: string | null;
  severity: number;
  onset: string;
  full: string;
  mended: string | null;
}

/** What really happened, in the form of the sample logs' truth files. */
export interface Truth {
  faults: string[];
  /** Of the first fault; `each` has them all. */
  onset: string | null;
  each: TruthFault[];
  days: TruthDay[];
  runs: TruthRun[];
  flows: TruthFlow[];
}

const hundredth = (x: number) => Math.round(x * 100) / 100;
const thousandth = (x: number) => Math.round(x * 1000) / 1000;
const QUARTER_S = 900;
const REACHED_S = 1e-6;
const tenth = (x: number) => Math.round(x * 10) / 10;

/** Keeps the truth while the plant runs. */
export class TruthKeeper {
  readonly days: TruthDay[] = [];
  readonly runs: TruthRun[] = [];
  readonly flows: TruthFlow[] = [];
  #atQuarter: Books;
  #quarterS: number;
  #atMidnight: Books;
  #staticSum = 0;
  #staticS = 0;
  #deepest = 0;
  #runStartS = Number.NaN;
  #runFromM3 = 0;

  constructor(plant: Plant) {
    this.#atMidnight = { ...plant.books };
    this.#atQuarter = { ...plant.books };
    this.#quarterS = plant.timeS;
  }

  /**
   * Takes note of a step that ended now; `ranBefore` is whether the motor had current before it.
   */
  follow(plant: Plant, dtS: number, ranBefore: boolean): void {
    this.#staticSum += plant.staticM * dtS;
    this.#staticS += dtS;
    this.#deepest = Math.max(this.#deepest, plant.levelM);
    if (plant.running && !ranBefore) {
      this.#runStartS = plant.timeS - dtS;
      this.#runFromM3 = plant.books.pumpedM3 - plant.riser.pumpM3PerS * dtS;
    }
    if (!plant.running && ranBefore) this.#closeRun(plant, plant.timeS - dtS);
    if (plant.timeS - this.#quarterS >= QUARTER_S - REACHED_S) this.#closeQuarter(plant);
  }

  /** The step that ends a quarter belongs to it; the mean is over its true length. */
  #closeQuarter(plant: Plant): void {
    const from = this.#atQuarter;
    const minutes = (plant.timeS - this.#quarterS) / 60;
    const gpm = (key: 'usedM3' | 'leakedM3' | 'ranBackM3' | 'pumpedM3') =>
      thousandth((plant.books[key] - from[key]) / GALLON_M3 / minutes);
    this.flows.push({
      start: instant(this.#quarterS),
      pumped_gpm: gpm('pumpedM3'),
      used_gpm: gpm('usedM3'),
      leaked_gpm: gpm('leakedM3'),
      ran_back_gpm: gpm('ranBackM3'),
      level_ft: tenth(plant.levelM / FOOT_M),
    });
    this.#atQuarter = { ...plant.books };
    this.#quarterS = plant.timeS;
  }

  #closeRun(plant: Plant, stopS: number | null): void {
    this.runs.push({
      start: instant(this.#runStartS),
      stop: stopS === null ? null : instant(stopS),
      pumped_gal: hundredth((plant.books.pumpedM3 - this.#runFromM3) / GALLON_M3),
    });
    this.#runStartS = Number.NaN;
  }

  /** Closes a day of the well's calendar at its end. */
  closeDay(plant: Plant, date: string): void {
    const from = this.#atMidnight;
    const to = plant.books;
    const gallons = (key: 'usedM3' | 'leakedM3' | 'ranBackM3' | 'pumpedM3') =>
      hundredth((to[key] - from[key]) / GALLON_M3);
    this.days.push({
      date,
      used_gal: gallons('usedM3'),
      leaked_gal: gallons('leakedM3'),
      ran_back_gal: gallons('ranBackM3'),
      pumped_gal: gallons('pumpedM3'),
      static_level_ft: tenth(this.#staticSum / this.#staticS / FOOT_M),
      deepest_level_ft: tenth(this.#deepest / FOOT_M),
    });
    this.#atMidnight = { ...to };
    this.#staticSum = 0;
    this.#staticS = 0;
    this.#deepest = 0;
  }

  /** Closes what is open at the end of the log. */
  finish(plant: Plant): void {
    if (Number.isFinite(this.#runStartS)) this.#closeRun(plant, null);
  }
}
