/** What the folder offers: checks of a measuring chain, true RMS, calibration, their figures. */
export { calibrate } from './calibrate/calibrate.ts';
export { type Checked, checkAgain, compareCalibrations, zeroCheck } from './calibrate/over-time.ts';
export type {
  CalibrateOptions,
  CalibrationPair,
  CalibrationReport,
  Refusal,
} from './calibrate/types.ts';
export { checkChain } from './chain/check-chain.ts';
export { contextOf } from './chain/context.ts';
export { parseSensing } from './chain/parse-sensing.ts';
export type {
  Budget,
  BudgetAt,
  BudgetRow,
  Chain,
  ChainContext,
  ChainFinding,
  ChainReport,
  ChannelReport,
  QuestionAnswer,
  SensingIssue,
  SensingRead,
} from './chain/types.ts';
export { chainFigureSvg } from './figure/chain-figure.ts';
export { residualFigureSvg } from './figure/residual-figure.ts';
export { fitSine, fitSineOfUnknownFrequency } from './raw/sine-fit.ts';
export { trueRms } from './raw/true-rms.ts';
