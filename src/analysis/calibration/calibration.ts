import { instant } from '../../base/instant.ts';
import { type FittedLine, fitLine, stdAt, valueAt, xAt } from '../../base/line.ts';
import { CHANNELS, type Channel } from '../../model/reading.ts';
import { type CalibrationRecord, RAW_OF } from '../../model/well.ts';

/** A calibration as it acts on raw readings from `fromS` on, until its sensor was replaced. */
export interface CalibrationInForce {
  record: CalibrationRecord;
  /** Null when the points make no line; then readings are set aside. */
  line: FittedLine | null;
  /** Why there is no line, for the keeper. */
  because: string | null;
}

export interface CalibratedSink {
  /** A reading in Pa gauge or A, or of any other channel as it came. */
  reading(timeS: number, channel: number, value: number): void;
  /** A raw reading for which no calibration was in force. */
  noCalibration(timeS: number, channel: number): void;
}

const NOT_RAW = -1;
/** Channel that a raw channel becomes, by number. */
const BECOMES = Int8Array.from(CHANNELS, (channel) => {
  const made: Channel | undefined = RAW_OF[channel];
  return made === undefined ? NOT_RAW : CHANNELS.indexOf(made);
});

/**
 * Turns raw readings into Pa gauge and A through the calibration in force at their time. It keeps
 * no state, so there is nothing to save: the same reading always gives the same value.
 */
export class CalibrationStage {
  readonly #byChannel: CalibrationInForce[][];

  constructor(records: readonly CalibrationRecord[]) {
    this.#byChannel = CHANNELS.map((channel) =>
      records
        .filter((record) => record.channel === channel)
        .sort((a, b) => a.fromS - b.fromS)
        .map(inForceOf),
    );
  }

  step(timeS: number, channel: number, value: number, out: CalibratedSink): void {
    const becomes = BECOMES[channel]!;
    if (becomes === NOT_RAW) {
      out.reading(timeS, channel, value);
      return;
    }
    const line = this.inForce(becomes, timeS)?.line ?? null;
    if (line === null) out.noCalibration(timeS, channel);
    else out.reading(timeS, becomes, valueAt(line, value));
  }

  /** The calibration of a channel (`pressure`, `current`) in force at a time, null before any. */
  inForce(channel: number, timeS: number): CalibrationInForce | null {
    const all = this.#byChannel[channel]!;
    for (let i = all.length - 1; i >= 0; i--) {
      const { fromS, untilS } = all[i]!.record;
      if (fromS <= timeS && (untilS === null || timeS < untilS)) return all[i]!;
    }
    return null;
  }

  /** The calibration of a channel that began last, ended or not; null without any. */
  last(channel: number): CalibrationInForce | null {
    return this.#byChannel[channel]!.at(-1) ?? null;
  }

  /**
   * Standard uncertainty that the calibration in force gives to a value [Pa or A]. It is common
   * to all readings of its time, so it does not shrink with averaging. NaN without a calibration.
   */
  standingStd(channel: number, timeS: number, value: number): number {
    const line = this.inForce(channel, timeS)?.line ?? null;
    return line === null ? Number.NaN : stdAt(line, xAt(line, value));
  }

  /** Sentences on the calibrations that cannot be used, and on sensors that wait for one. */
  told(): string[] {
    const unusable = this.#byChannel.flat().flatMap(({ record, because }) => {
      if (because === null) return [];
      return [`${nameOf(record)} is not used: ${because}`];
    });
    const ended = this.#byChannel.flat().flatMap(({ record }) => {
      const { channel, untilS } = record;
      if (untilS === null || this.inForce(CHANNELS.indexOf(channel), untilS) !== null) return [];
      const when = instant(untilS);
      return [`${nameOf(record)} ended on ${when} with its sensor: the new one had none then`];
    });
    return [...unusable, ...ended];
  }
}

const nameOf = ({ channel, sensor, fromS }: CalibrationRecord) =>
  `the calibration of ${channel} from ${instant(fromS)}${sensor === null ? '' : ` (${sensor})`}`;

export function createCalibration(records: readonly CalibrationRecord[]): CalibrationStage {
  return new CalibrationStage(records);
}

function inForceOf(record: CalibrationRecord): CalibrationInForce {
  const { points } = record;
  const none = (because: string) => ({ record, line: null, because });
  if (points.length < 2) {
    return none(`expected two points or more for a straight line, found ${points.length}`);
  }
  if (points.every(({ reference }) => reference === points[0]!.reference)) {
    return none(
      'expected the reference to change with the raw value, found it the same throughout',
    );
  }
  const x = points.map(({ raw }) => raw);
  const stds = points.map(({ referenceStd }) => referenceStd);
  const line = fitLine({
    x,
    y: points.map(({ reference }) => reference),
    yStd: stds.every((std) => std > 0) ? stds : null,
  });
  if (!Number.isFinite(line.slope)) {
    return none(`expected points at two raw values or more, found all at ${x[0]} ${record.raw}`);
  }
  return { record, line, because: null };
}
