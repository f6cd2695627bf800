/** What the folder offers of the measuring chain: its check, bursts, calibration, figures. */
export {
  lastCalibration,
  type OverTime,
  overTime,
  pairsOfRecord,
  useOf,
} from './calibrate/against-last.ts';
export { calibrationValues } from './calibrate/block.ts';
export { calibrate } from './calibrate/calibrate.ts';
export type { CalibrationPair, CalibrationReport } from './calibrate/types.ts';
export { checkChain } from './chain/check-chain.ts';
export { contextOf } from './chain/context.ts';
export { parseSensing } from './chain/parse-sensing.ts';
export type { BudgetAt, ChainFinding, ChainReport, ChannelReport } from './chain/types.ts';
export { chainFigureSvg } from './figure/chain-figure.ts';
export { residualFigureSvg } from './figure/residual-figure.ts';
export { type BurstReport, judgeBurst } from './raw/burst.ts';
