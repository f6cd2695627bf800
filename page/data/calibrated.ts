import { CalibrationStage } from '../../src/analysis/calibration/calibration.ts';
import { CHANNELS } from '../../src/model/reading.ts';
import type { Well } from '../../src/model/well.ts';

/** A raw value of now through the calibration that began last, Pa gauge or A; null without. */
export function calibratedBy(
  well: Well,
  channel: 'pressure' | 'current',
  raw: number,
): number | null {
  let found: number | null = null;
  const sink = {
    reading: (_timeS: number, _channel: number, value: number) => {
      found = value;
    },
    noCalibration: () => undefined,
  };
  const stage = new CalibrationStage(well.calibrations);
  stage.step(Date.now() / 1000, CHANNELS.indexOf(`${channel}-raw`), raw, sink);
  return found;
}
