import { stdAt, xAt } from '../../base/line.ts';
import {
  type CalibrationReport,
  calibrate,
  type OverTime,
  overTime,
  useOf,
} from '../../instruments/index.ts';
import type { Well } from '../../model/well.ts';
import { parseQuantity } from '../../units/parse.ts';
import { UsageError } from '../usage.ts';
import { calibrationTable } from './calibration-table.ts';
import { readPairs } from './pairs.ts';
import { readNamed } from './read-well.ts';

export type Channel = 'pressure' | 'current';

/** A calibration with what the command adds to it. */
export interface Calibrated extends CalibrationReport {
  overTime: OverTime;
  /** Values at which its uncertainty was asked for, Pa gauge or A, with the standard one. */
  asked: { value: number; std: number }[];
  /** The calibration as the well file would hold it, line by line. */
  table: string[];
}

/** The line through a file of paired readings; `at`: values at which to tell its uncertainty. */
export async function calibrateFile(
  file: string,
  well: Well,
  { channel, at }: { channel: Channel; at: readonly string[] },
): Promise<Calibrated> {
  const values = at.map((text) => askedValue(text, channel));
  const read = readPairs(await readNamed(file, 'paired readings'), file, channel);
  if (!read.ok) throw new UsageError(read.problems.join('\n'));
  const { pairs, raw } = read;
  const report = calibrate(pairs, { channel, raw, units: well.units, use: useOf(well, channel) });
  const { line } = report;
  return {
    ...report,
    overTime: overTime(pairs, report, well),
    asked:
      line === null ? [] : values.map((value) => ({ value, std: stdAt(line, xAt(line, value)) })),
    table: calibrationTable(pairs, report),
  };
}

/** A value of the channel that someone asks for. */
function askedValue(text: string, channel: Channel): number {
  const parsed = parseQuantity(text, channel);
  if (parsed.ok) return parsed.value;
  throw new UsageError(`--at: expected ${parsed.expected}, found "${parsed.found}"`);
}
