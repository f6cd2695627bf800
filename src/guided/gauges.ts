import {
  type CalibrationPair,
  calibrate,
  calibrationValues,
  lastCalibration,
  useOf,
} from '../instruments/index.ts';
import type { LivingWell } from '../living/living-well.ts';
import { CHANNELS } from '../model/reading.ts';
import type { CalibrationRecord, Well } from '../model/well.ts';
import { parseQuantity } from '../units/parse.ts';
import type { WellFileBlock } from '../wellfile/add-block.ts';
import { MEASURED_UNCERTAINTY, stdOf } from '../wellfile/default-uncertainty.ts';
import { utc, wellWith } from './blocks.ts';
import { type Compared, comparedOf } from './compared.ts';
import type { GuidedPorts } from './guided-tests.ts';
import { GuideRefusal } from './session.ts';
import type { Sample } from './trace.ts';
import { pipelineUnder } from './under.ts';

export const GAUGES = ['pressure', 'current'] as const;
export type Gauge = (typeof GAUGES)[number];

/** From when on a new calibration holds. */
export const HOLDS_FROM = ['record', 'calibration', 'now'] as const;
export type HoldsFrom = (typeof HOLDS_FROM)[number];

/** A calibration that is being made: it stays in the service till it is written or given up. */
interface Draft {
  begunS: number;
  raw: 'V' | 'count';
  pairs: CalibrationPair[];
}
type Drafts = Partial<Record<Gauge, Draft>>;

/** How one channel stands just now, beside the gauge. */
export interface GaugeNow {
  channel: Gauge;
  raw: 'V' | 'count';
  /** The mean of the last raw readings, with how they scatter; null where none come. */
  now: { value: number; scatter: number; count: number; at: string } | null;
  /** What comes that needs no calibration here, Pa gauge or A; null where none does. */
  plain: number | null;
  /** The calibration in force. */
  inForce: { from: string; sensor: string | null } | null;
  /** Since when each choice would hold; null where it is none. */
  holdsFrom: Record<HoldsFrom, string | null>;
  /** What was taken so far; null while no calibration is being made. */
  pairs: CalibrationPair[] | null;
}

/** A value is the mean of so much, and too old after this, s. */
const MEAN_S = 20;
const FRESH_S = 180;
/** Faster readings are asked for while a calibration is made, s. */
const ASKED_S = 1800;
const MOST_PAIRS = 60;
/** So many days tell what a calibration does to the past. */
const PAST_S = 7 * 86_400;
const EVER_S = 8.64e12;

/** Calibrations that are made beside the live readings. */
export class Gauges {
  readonly #ports: GuidedPorts;
  readonly #drafts = new Map<string, Drafts>();

  constructor(ports: GuidedPorts) {
    this.#ports = ports;
  }

  async now(wellId: string): Promise<GaugeNow[]> {
    const drafts = await this.#draftsOf(wellId);
    return Promise.all(GAUGES.map((channel) => this.#now(wellId, channel, drafts[channel])));
  }

  async begin(wellId: string, channel: Gauge): Promise<void> {
    const drafts = await this.#draftsOf(wellId);
    const { raw } = await this.#now(wellId, channel, undefined);
    const nowS = this.#ports.clock.nowS();
    drafts[channel] ??= { begunS: nowS, raw, pairs: [] };
    this.#living(wellId).ask({ what: 'calibration', startS: nowS, stopS: nowS + ASKED_S });
    await this.#keepDrafts(wellId, drafts);
  }

  /** The raw reading of now beside what the gauge or clamp meter shows. */
  async take(wellId: string, channel: Gauge, reference: string, std: string): Promise<void> {
    const drafts = await this.#draftsOf(wellId);
    const draft = drafts[channel];
    if (draft === undefined) throw new GuideRefusal('expected a calibration begun, found none');
    if (draft.pairs.length >= MOST_PAIRS)
      throw new GuideRefusal(`expected at most ${MOST_PAIRS} points, found as many`);
    const value = quantity(reference, channel);
    const { now } = await this.#now(wellId, channel, draft);
    if (now === null) throw new GuideRefusal('expected a raw reading now, found none');
    const sure = MEASURED_UNCERTAINTY[`calibration.points (${channel})`];
    draft.pairs.push({
      raw: now.value,
      rawStd: now.count > 1 ? now.scatter / Math.sqrt(now.count) : 0,
      reference: value,
      referenceStd:
        std.trim() === '' ? stdOf(sure, { value, kind: channel }) : spread(std, channel),
      atS: Date.parse(now.at) / 1000,
    });
    await this.#keepDrafts(wellId, drafts);
  }

  async drop(wellId: string, channel: Gauge, place: number): Promise<void> {
    const drafts = await this.#draftsOf(wellId);
    drafts[channel]?.pairs.splice(place, 1);
    await this.#keepDrafts(wellId, drafts);
  }

  async giveUp(wellId: string, channel: Gauge): Promise<void> {
    const drafts = await this.#draftsOf(wellId);
    delete drafts[channel];
    this.#living(wellId).forget('calibration');
    await this.#keepDrafts(wellId, drafts);
  }

  /** The last days under the calibrations in force, and under this one. */
  async compared(wellId: string, channel: Gauge, from: HoldsFrom): Promise<Compared> {
    const { text, blocks } = await this.#blocks(wellId, channel, from);
    const { lastS } = await this.#spanOf(wellId);
    const span = { fromS: lastS - PAST_S };
    const before = await pipelineUnder(wellWith(text, []), this.#ports, span);
    const after = await pipelineUnder(wellWith(text, blocks), this.#ports, span);
    return comparedOf(before, after);
  }

  /** Writes it into the well file, which mends the past from when on it holds. */
  async keep(wellId: string, channel: Gauge, from: HoldsFrom, by: string): Promise<void> {
    const { blocks } = await this.#blocks(wellId, channel, from);
    const book = this.#ports.book(wellId);
    if (book === null)
      throw new GuideRefusal('expected a well file that can be written, found none');
    for (const block of blocks) await book.add(block, by);
    await this.giveUp(wellId, channel);
  }

  /**
   * One, and one more in place of each that began later: of two the later holds, and would take
   * from a calibration of the whole record what came since.
   */
  async #blocks(
    wellId: string,
    channel: Gauge,
    from: HoldsFrom,
  ): Promise<{ text: string; blocks: WellFileBlock[] }> {
    const draft = (await this.#draftsOf(wellId))[channel];
    const { well } = this.#living(wellId);
    const book = this.#ports.book(wellId);
    if (draft === undefined || book === null)
      throw new GuideRefusal('expected a calibration begun, found none');
    const { raw, pairs } = draft;
    const { units } = well;
    const report = calibrate(pairs, { channel, raw, units, use: useOf(well, channel) });
    const values = calibrationValues(pairs, report);
    if (values === null) throw new GuideRefusal(report.refusals.map(({ says }) => says).join('; '));
    const holds = (await this.#now(wellId, channel, draft)).holdsFrom[from];
    if (holds === null)
      throw new GuideRefusal(`expected a time that it holds from, found none for '${from}'`);
    const sensor = lastCalibration(well, channel, raw)?.sensor ?? null;
    const later = inForceOf(well, channel)
      .map(({ fromS }) => utc(fromS))
      .filter((one) => from === 'record' && one > holds);
    const blocks = [...new Set([holds, ...later])].map((since) => ({
      table: 'calibration' as const,
      values: { ...(sensor !== null && { sensor }), ...values, from: since },
    }));
    return { text: (await book.file()).text, blocks };
  }

  async #now(wellId: string, channel: Gauge, draft: Draft | undefined): Promise<GaugeNow> {
    const { well } = this.#living(wellId);
    const nowS = this.#ports.clock.nowS();
    const raw = await this.#lately(wellId, `${channel}-raw`, nowS);
    const plain = await this.#lately(wellId, channel, nowS);
    const lastS = raw.at(-1)?.timeS ?? NaN;
    const recent = raw.filter(({ timeS }) => timeS > lastS - MEAN_S).map(({ value }) => value);
    const inForce = inForceOf(well, channel).at(-1) ?? null;
    const { firstS } = await this.#spanOf(wellId);
    const unit =
      draft?.raw ?? inForce?.raw ?? (recent.every((v) => Number.isInteger(v)) ? 'count' : 'V');
    return {
      channel,
      raw: recent.length === 0 && draft === undefined ? (inForce?.raw ?? 'V') : unit,
      now: recent.length === 0 ? null : { ...meanOf(recent), at: instant(lastS) },
      plain: plain.at(-1)?.value ?? null,
      inForce: inForce && { from: utc(inForce.fromS), sensor: inForce.sensor },
      holdsFrom: {
        record: Number.isNaN(firstS)
          ? null
          : utc(Math.max(Math.floor(firstS), fittedS(well, channel))),
        calibration: inForce && utc(inForce.fromS),
        now: utc(draft?.pairs[0]?.atS ?? nowS),
      },
      pairs: draft?.pairs ?? null,
    };
  }

  async #lately(wellId: string, name: (typeof CHANNELS)[number], nowS: number): Promise<Sample[]> {
    const channel = CHANNELS.indexOf(name);
    const found: Sample[] = [];
    for await (const batch of this.#ports.store.readings(wellId, nowS - FRESH_S, nowS + 1))
      for (let i = 0; i < batch.count; i++)
        if (batch.channel[i] === channel)
          found.push({ timeS: batch.timeS[i]!, value: batch.value[i]! });
    return found;
  }

  async #spanOf(wellId: string): Promise<{ firstS: number; lastS: number }> {
    const all = await this.#ports.store.wells();
    return all.find((one) => one.wellId === wellId) ?? { firstS: NaN, lastS: NaN };
  }

  #living(wellId: string): LivingWell {
    const living = this.#ports.living(wellId);
    if (living !== null) return living;
    throw new GuideRefusal('expected a well file that can be used, found none');
  }

  async #draftsOf(wellId: string): Promise<Drafts> {
    const known = this.#drafts.get(wellId);
    if (known !== undefined) return known;
    const all = await this.#ports.store.records(wellId, 'draft', -EVER_S, EVER_S);
    const drafts = (all.at(-1)?.body ?? {}) as Drafts;
    this.#drafts.set(wellId, drafts);
    return drafts;
  }

  async #keepDrafts(wellId: string, drafts: Drafts): Promise<void> {
    const body = structuredClone(drafts);
    await this.#ports.store.putRecords(wellId, 'draft', 0, [{ id: 'gauges', atS: 0, body }]);
  }
}

/** Calibrations of the sensor that is there, the one that holds now last. */
const inForceOf = ({ calibrations }: Well, channel: Gauge): CalibrationRecord[] =>
  calibrations
    .filter((one) => one.channel === channel && one.untilS === null)
    .sort((a, b) => a.fromS - b.fromS);

/** When the sensor that is there was fitted, as far as the book tells [Unix s]; 0 without. */
const fittedS = ({ services }: Well, channel: Gauge): number =>
  services
    .filter(({ resets }) => resets.includes(`${channel}-sensor`))
    .reduce((latest, { onS }) => Math.max(latest, onS), 0);

function meanOf(values: readonly number[]): { value: number; scatter: number; count: number } {
  const count = values.length;
  const value = values.reduce((sum, one) => sum + one, 0) / count;
  const squares = values.reduce((sum, one) => sum + (one - value) ** 2, 0);
  return { value, scatter: count > 1 ? Math.sqrt(squares / (count - 1)) : 0, count };
}

function quantity(text: string, kind: Gauge): number {
  const parsed = parseQuantity(text, kind);
  if (parsed.ok) return parsed.value;
  throw new GuideRefusal(`expected ${parsed.expected}, found ${parsed.found}`);
}

function spread(text: string, kind: Gauge): number {
  const std = quantity(text, kind);
  if (std > 0) return std;
  throw new GuideRefusal(`expected an uncertainty above zero, found "${text}"`);
}

const instant = (timeS: number): string => new Date(Math.round(timeS * 1000)).toISOString();
