import { CalibrationStage } from '../../src/analysis/calibration/calibration.ts';
import { CHANNELS, type Channel } from '../../src/model/reading.ts';
import type { Well } from '../../src/model/well.ts';
import { ask, askText, instant, ofWell } from './api.ts';
import {
  LEVELS_S,
  levelFor,
  RAW_SPAN_S,
  RAW_TILE_S,
  type Stretch,
  TILE_STRETCHES,
  tilesOf,
} from './levels.ts';
import { readingsOfLog } from './log-text.ts';
import { inTurn } from './turns.ts';

export type Pen = 'pressure' | 'current';
const RAW_FORM: Record<Pen, Channel> = { pressure: 'pressure-raw', current: 'current-raw' };

interface Tile {
  pens: Record<Pen, Stretch[]>;
  /** Up to where it was asked: a tile of the present is asked again. */
  untilS: number;
  /** How often it was asked, and which of these was answered last. */
  askings: number;
  answered: number;
  /** What was answered before stands until the next answer, in whatever state. */
  state: 'asked' | 'there' | 'failed' | 'old';
}

interface Answered {
  stretches: {
    from: string;
    count: number;
    least: number | null;
    greatest: number | null;
    mean: number | null;
  }[];
}

const TILES_MOST = 400;
/** The tile of the present is asked again after this, s. */
const ANEW_S = 20;
/** What was not answered is asked again after this, s. */
const AGAIN_S = 3;
const REACH_S = 150;

/** In what pieces a span is asked, and how long each is, s. */
function tilingOf(spanS: number, pixels: number) {
  if (spanS <= RAW_SPAN_S) return { raw: true, level: -1, lengthS: RAW_TILE_S };
  const level = levelFor(spanS, pixels);
  return { raw: false, level, lengthS: LEVELS_S[level]! * TILE_STRETCHES };
}

const records = new WeakMap<Well, WellRecord>();

/** The record of a well is one, whatever sheet looks at it. */
export function recordOf(well: Well): WellRecord {
  const known = records.get(well) ?? new WellRecord(well);
  records.set(well, known);
  return known;
}

/** The record of one well, asked tile by tile as it is looked at, and kept. */
export class WellRecord {
  readonly #well: Well;
  readonly #tiles = new Map<string, Tile>();
  readonly #listeners = new Set<() => void>();
  readonly #calibration: CalibrationStage;
  #restated: number | null = null;
  #isAhead = false;

  constructor(well: Well) {
    this.#well = well;
    this.#calibration = new CalibrationStage(well.calibrations);
  }

  /** Calls back when something has been answered, until the function it returns is called. */
  listen(onChange: () => void): () => void {
    this.#listeners.add(onChange);
    return () => void this.#listeners.delete(onChange);
  }

  /**
   * What is kept holds as long as this stays the same: after late readings all is asked again, and
   * what was known stands there meanwhile.
   */
  asOf(restated: number): void {
    const before = this.#restated;
    this.#restated = restated;
    if (before === null || before === restated) return;
    this.#isAhead = false;
    for (const tile of this.#tiles.values()) tile.state = 'old';
    this.#changed();
  }

  #changed(): void {
    for (const listener of this.#listeners) listener();
  }

  /** Asks once for all there is in the coarsest pieces, which stand in for any finer ones. */
  lookAhead(fromS: number, toS: number): void {
    if (this.#isAhead) return;
    this.#isAhead = true;
    const level = LEVELS_S.length - 1;
    const lengthS = LEVELS_S[level]! * TILE_STRETCHES;
    for (const number of tilesOf(fromS, toS, lengthS)) this.#tile(level, number, lengthS);
  }

  /**
   * What is known of a span now, in stretches of about a pixel or raw; what is missing is asked
   * for, and coarser pieces that are there stand in for it meanwhile.
   */
  look(fromS: number, toS: number, pixels: number): { pens: Record<Pen, Stretch[]>; raw: boolean } {
    const { raw, level, lengthS } = tilingOf(toS - fromS, pixels);
    const pens: Record<Pen, Stretch[]> = { pressure: [], current: [] };
    // A device that reports on change may have spoken last before the span.
    const reachS = raw ? REACH_S : 0;
    for (const number of tilesOf(fromS - reachS, toS + reachS, lengthS)) {
      const tile = this.#tile(level, number, lengthS);
      const from = tile.answered > 0 ? tile.pens : this.#standIn(level, number * lengthS, lengthS);
      for (const pen of ['pressure', 'current'] as const)
        for (const one of from[pen])
          if (one.toS >= fromS - reachS && one.fromS <= toS + reachS) pens[pen].push(one);
    }
    return { pens, raw };
  }

  /** Whether all of a span has been answered at all, and of all that is known by now. */
  answered(fromS: number, toS: number, pixels: number): { once: boolean; whole: boolean } {
    const { level, lengthS } = tilingOf(toS - fromS, pixels);
    const tiles = tilesOf(fromS, toS, lengthS).map((one) => this.#tiles.get(`${level}/${one}`));
    return {
      once: tiles.every((tile) => tile !== undefined && tile.answered > 0),
      whole: tiles.every((tile) => tile?.state === 'there'),
    };
  }

  /** Raw readings of a span, by pen, as they are. */
  raw(fromS: number, toS: number): Promise<Record<Pen, Stretch[]>> {
    return inTurn(() => this.#askRaw(fromS, toS));
  }

  #standIn(level: number, fromS: number, lengthS: number): Record<Pen, Stretch[]> {
    for (let coarser = level + 1; coarser < LEVELS_S.length; coarser++) {
      const tileS = LEVELS_S[coarser]! * TILE_STRETCHES;
      const tile = this.#tiles.get(`${coarser}/${Math.floor(fromS / tileS)}`);
      if (tile === undefined || tile.answered === 0) continue;
      const within = (one: Stretch) => one.toS > fromS && one.fromS < fromS + lengthS;
      const { pressure, current } = tile.pens;
      return { pressure: pressure.filter(within), current: current.filter(within) };
    }
    return { pressure: [], current: [] };
  }

  #tile(level: number, number: number, lengthS: number): Tile {
    const key = `${level}/${number}`;
    const nowS = Date.now() / 1000;
    let tile = this.#tiles.get(key);
    const isDue =
      tile !== undefined &&
      tile.state !== 'asked' &&
      (tile.state === 'failed' || tile.untilS < (number + 1) * lengthS + ANEW_S) &&
      nowS - tile.untilS > ANEW_S;
    if (tile !== undefined && tile.state !== 'old' && !isDue) return tile;
    if (tile === undefined) {
      tile = {
        pens: { pressure: [], current: [] },
        untilS: nowS,
        askings: 0,
        answered: 0,
        state: 'asked',
      };
      this.#tiles.set(key, tile);
      if (this.#tiles.size > TILES_MOST) this.#tiles.delete([...this.#tiles.keys()][0]!);
    } else tile.state = 'asked';
    void this.#ask(tile, level, number * lengthS, lengthS);
    return tile;
  }

  async #ask(tile: Tile, level: number, fromS: number, lengthS: number): Promise<void> {
    const askedS = Date.now() / 1000;
    tile.askings += 1;
    const mine = tile.askings;
    try {
      const pens =
        level < 0
          ? await this.raw(fromS, fromS + lengthS)
          : await this.#askStretches(fromS, fromS + lengthS, LEVELS_S[level]!);
      if (tile.answered > mine) return;
      tile.pens = pens;
      tile.answered = mine;
      tile.untilS = askedS;
      // Else late readings came meanwhile, and it is asked anew.
      if (tile.askings === mine && tile.state === 'asked') tile.state = 'there';
    } catch {
      if (tile.askings !== mine || tile.state === 'old') return;
      tile.state = 'failed';
      tile.untilS = askedS - ANEW_S + AGAIN_S;
    }
    this.#changed();
  }

  async #askStretches(
    fromS: number,
    toS: number,
    lengthS: number,
  ): Promise<Record<Pen, Stretch[]>> {
    const get = async (channel: Channel): Promise<Stretch[]> => {
      const stretches = String(TILE_STRETCHES);
      const span = { channel, from: instant(fromS), to: instant(toS), stretches };
      const path = ofWell(this.#well.id, 'readings', span);
      const { body } = await inTurn(() => ask<Answered>(path));
      return body.stretches.flatMap(({ from, least, greatest, mean }, i, all) => {
        if (least === null || greatest === null || mean === null) return [];
        const beginS = Date.parse(from) / 1000;
        const next = all[i + 1];
        const endS = next === undefined ? beginS + lengthS : Date.parse(next.from) / 1000;
        return [{ fromS: beginS, toS: Math.min(endS, toS), least, greatest, mean }];
      });
    };
    const of = async (pen: Pen): Promise<Stretch[]> => {
      const plain = await get(pen);
      if (!this.#isCalibrated(pen)) return plain;
      const raw = (await get(RAW_FORM[pen])).flatMap((one) => this.#calibrated(pen, one));
      return [...plain, ...raw].sort((a, b) => a.fromS - b.fromS);
    };
    const [pressure, current] = await Promise.all([of('pressure'), of('current')]);
    return { pressure, current };
  }

  async #askRaw(fromS: number, toS: number): Promise<Record<Pen, Stretch[]>> {
    const span = { from: instant(fromS), to: instant(toS) };
    const found = readingsOfLog(await askText(ofWell(this.#well.id, 'log.csv', span)));
    const of = (pen: Pen): Stretch[] => {
      const point = ({ timeS, value }: { timeS: number; value: number }): Stretch => ({
        ...{ fromS: timeS, toS: timeS, least: value, greatest: value, mean: value },
      });
      const plain = (found.get(pen) ?? []).map(point);
      const raw = (found.get(RAW_FORM[pen]) ?? []).map(point);
      return [...plain, ...raw.flatMap((one) => this.#calibrated(pen, one))].sort(
        (a, b) => a.fromS - b.fromS,
      );
    };
    return { pressure: of('pressure'), current: of('current') };
  }

  #isCalibrated = (pen: Pen): boolean =>
    this.#well.calibrations.some(({ channel }) => channel === pen);

  /** The line in force is straight: least and greatest stay such, or change places. */
  #calibrated(pen: Pen, one: Stretch): Stretch[] {
    const values: number[] = [];
    const sink = {
      reading: (_timeS: number, _channel: number, value: number) => values.push(value),
      noCalibration: () => undefined,
    };
    const channel = CHANNELS.indexOf(RAW_FORM[pen]);
    for (const raw of [one.least, one.greatest, one.mean])
      this.#calibration.step(one.fromS, channel, raw, sink);
    if (values.length < 3) return [];
    const [a, b, mean] = values as [number, number, number];
    return [{ ...one, least: Math.min(a, b), greatest: Math.max(a, b), mean }];
  }
}
