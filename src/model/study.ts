/** The result of `study`, as printed by `--json`: schema 1. Fields may be added, these stay. */
export type Basis = 'bucket-test' | 'nameplate' | 'relative';
export type Begun = 'cut-in' | 'other' | 'log-start' | 'gap';
export type Ended =
  | 'cut-out'
  | 'below-cut-out'
  | 'tripped'
  | 'stalled'
  | 'chatter'
  | 'gap'
  | 'log-end';
/** The most urgent first. */
export const URGENCIES = ['now', 'today', 'days', 'weeks', 'note'] as const;
export type Urgency = (typeof URGENCIES)[number];

/** 0 for a note to 4 for what cannot wait. */
export const weightOf = (urgency: Urgency): number =>
  URGENCIES.length - 1 - URGENCIES.indexOf(urgency);

export type TestName =
  | 'bucket'
  | 'isolation'
  | 'precharge'
  | 'drain'
  | 'fill'
  | 'throttle'
  | 'recovery'
  | 'sounding'
  | 'electrician'
  | 'look';

export interface ScaleEntry {
  from: string;
  basis: Basis;
  tankConstantPaM3: number | null;
  tankConstantPaM3Std: number | null;
}

export interface RunEntry {
  start: string;
  startStdS: number;
  stop: string | null;
  stopStdS: number | null;
  begun: Begun;
  ended: Ended;
  breaks: number;
  /** What showed the run: `current`, or `pressure` where amps were missing or in doubt. */
  foundBy: 'current' | 'pressure';
  cutInPaGauge: number | null;
  cutOutPaGauge: number | null;
  meanCurrentA: number | null;
  pumpedM3: number | null;
  pumpedM3Std: number | null;
  pumpedPerTank?: number;
  pumpedPerTankStd?: number;
}

export interface DayEntry {
  date: string;
  coveredS: number;
  usedM3: number | null;
  usedM3Std: number | null;
  lossM3: number | null;
  lossM3Std: number | null;
  lossHouseShare: number | null;
  pumpedM3: number | null;
  pumpedM3Std: number | null;
  usedPerTank?: number;
  usedPerTankStd?: number;
  lossPerTank?: number;
  lossPerTankStd?: number;
  pumpedPerTank?: number;
  pumpedPerTankStd?: number;
  energyJ: number | null;
  energyJStd: number | null;
  /** Energy times the price of the well file, in its currency. */
  cost: number | null;
  costStd: number | null;
  starts: number;
  runS: number;
  levelDropM: number | null;
  levelDropMStd: number | null;
  pumpingLevelM: number | null;
  pumpingLevelMStd: number | null;
  pumpIndex: number | null;
  pumpIndexStd: number | null;
  /** Delivery per drawdown, m2/s. */
  specificCapacityM2PerS: number | null;
  specificCapacityM2PerSStd: number | null;
  /** Electric energy per volume pumped, J/m3, and the least that physics allows. */
  energyPerVolumeJPerM3: number | null;
  energyPerVolumeJPerM3Std: number | null;
  energyFloorJPerM3: number | null;
}

/** A day counts as whole from here on, so that the short day of the clock change does too. */
const WHOLE_DAY_S = 22.75 * 3600;

export const isWhole = ({ coveredS }: DayEntry): boolean => coveredS >= WHOLE_DAY_S;

export interface DrawEntry {
  start: string;
  stop: string;
  volumeM3: number | null;
  volumeM3Std: number | null;
  volumePerTank?: number;
  volumePerTankStd?: number;
  peakFlowM3PerS: number | null;
}

export interface Evidence {
  says: string;
  observed: number;
  expected: number | null;
  expectedStd: number | null;
  unit: string;
  moves?: Moves;
  /** When it was seen; findings that an older version kept have none. */
  from?: string;
  to?: string;
}

/**
 * How far an observation moves a fault: ln of how much likelier it is under that fault than on a
 * sound well, and than under the fault that comes next.
 */
export interface Moves {
  fault: string;
  /** Null where no sound well shows it. */
  logOverSound: number | null;
  rival: string | null;
  logOverRival: number | null;
}

export interface FindingEntry {
  id: string;
  fault: string;
  probability: number;
  since: string;
  raised: string;
  cleared: string | null;
  replacedBy: string | null;
  urgency: Urgency;
  evidence: Evidence[];
  instead: { fault: string; probability: number }[];
  /** What looks the same from what is at hand, with that in words; null where nothing does. */
  alike: { faults: string[]; says: string } | null;
  history: { at: string; fault: string; probability: number }[];
  nextTest: TestName | null;
  action: string;
  cautions: string[];
}

export interface UnknownEntry {
  field: string;
  because: string;
  test: TestName | null;
}

/** What the pump does at one tee pressure, as learnt and as it is at the end of the log. */
export interface PumpPoint {
  pressurePaGauge: number;
  deliveryM3PerS: number | null;
  deliveryM3PerSStd: number | null;
  currentA: number | null;
  currentAStd: number | null;
}

/** How fast the water in the well comes back between runs. */
export interface RecoveryEntry {
  specificCapacityM2PerS: number | null;
  specificCapacityM2PerSStd: number | null;
  recoveryS: number | null;
  recoverySStd: number | null;
}

/** What a test of the well file gave. */
export interface TestEntry {
  test: TestName;
  start: string;
  stop: string;
  /** Why it could not be used, in words. */
  unusable: string | null;
  /** In SI; `std` is null for counts and plain readings. */
  found: { what: string; value: number; std: number | null; unit: string }[];
  /** ln of the likelihood under each fault it speaks of, over that of the best account. */
  bearing: { fault: string; logLikelihood: number }[];
}

export interface Study {
  schema: 1;
  well: string;
  span: {
    from: string;
    to: string;
    readings: Record<string, number>;
    setAside: Record<string, number>;
  };
  scale: ScaleEntry[];
  runs: RunEntry[];
  days: DayEntry[];
  draws: DrawEntry[];
  findings: FindingEntry[];
  unknown: UnknownEntry[];
  /** Tests of the well file other than the bucket, as the log shows them. */
  tests: TestEntry[];
  /** Delivery and amps at cut-in, between and at cut-out; empty until delivery is learnt. */
  pump: PumpPoint[];
  recovery: RecoveryEntry;
  /** What the keeper should be told about the log and the file: plain sentences. */
  told: string[];
}

/** A study without the lists that have addresses of their own. */
export type Outline = Omit<Study, 'runs' | 'days' | 'draws' | 'findings'>;
