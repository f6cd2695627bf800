import { stdAt, valueAt } from '../../base/line.ts';
import {
  type BurstReport,
  calibrate,
  judgeBurst,
  lastCalibration,
  pairsOfRecord,
  parseSensing,
} from '../../instruments/index.ts';
import { ACT_CAUTIONS, type CautionId } from '../../model/cautions.ts';
import type { Well } from '../../model/well.ts';
import { UsageError } from '../usage.ts';

import { readNamed } from './read-well.ts';
import { readSamples } from './samples.ts';

/** A burst with what the calibration in force makes of it. */
export interface BurstChecked extends BurstReport {
  raw: 'V' | 'count';
  samples: number;
  rateHz: number;
  mainsHz: number;
  /** RMS current, A, and the standard uncertainty of the calibration; null without one. */
  current: { value: number; std: number } | null;
  cautions: readonly CautionId[];
}

/** Raw samples of one burst of the current; rate and mains are those of `[sensing]`. */
export async function checkBurst(file: string, well: Well): Promise<BurstChecked> {
  const read = readSamples(await readNamed(file, 'a burst of raw samples'), file);
  if (!read.ok) throw new UsageError(read.problems.join('\n'));
  const { chain } = parseSensing(well.sensing ?? {});
  const rateHz = chain?.converter?.rateHz ?? null;
  const mainsHz = chain?.sampling?.mainsHz ?? null;
  if (rateHz === null || mainsHz === null) {
    const key = rateHz === null ? 'sensing.converter.rate' : 'sensing.sampling.mains';
    throw new UsageError(`--burst: expected ${key} in the well file, found none`);
  }
  const { values, raw } = read;
  const report = judgeBurst(values, 1 / rateHz, mainsHz);
  const last = lastCalibration(well, 'current', raw);
  const line =
    last &&
    calibrate(pairsOfRecord(last), { channel: 'current', raw, units: 'si', use: null }).line;
  const current = line ? { value: valueAt(line, report.rms), std: stdAt(line, report.rms) } : null;
  const rest = { raw, samples: values.length, rateHz, mainsHz };
  return { ...report, ...rest, current, cautions: ACT_CAUTIONS['read-clamp-meter'] };
}
