import type { Channel } from './reading.ts';

export type SourceMark = 'measured' | 'nameplate' | 'drillers-log' | 'guess';

/** A quantity of the well file in SI, with its standard uncertainty in the same unit. */
export interface Quantity {
  value: number;
  std: number;
  source: SourceMark;
  /** Unix s of the date the value was taken on, where told. */
  onS: number | null;
}

export type ResetKind =
  | 'tank'
  | 'pump'
  | 'well'
  | 'switch'
  | 'pressure-sensor'
  | 'current-sensor'
  | 'plumbing';

/** Everything that is physically there; holds from the start or from a service on. */
export interface Equipment {
  /** Static water level, m below ground. */
  staticLevelM: Quantity | null;
  /** Casing inside diameter, m. */
  casingM: Quantity | null;
  pumpKind: 'submersible' | 'jet' | null;
  motor: '2-wire' | '3-wire' | '3-wire capacitor-run' | 'three-phase' | null;
  /** Rated shaft power, W. */
  powerW: Quantity | null;
  voltageV: Quantity | null;
  phases: 1 | 3 | null;
  fullLoadCurrentA: Quantity | null;
  serviceFactorCurrentA: Quantity | null;
  ratedFlowM3PerS: Quantity | null;
  intakeDepthM: Quantity | null;
  /** Maker's curve, flow rising: flow m3/s, head m of water. */
  curve: { flowM3PerS: number; headM: number }[] | null;
  pipeMaterial: 'plastic' | 'steel' | 'copper' | null;
  pipeInsideDiameterM: Quantity | null;
  pipeLengthM: Quantity | null;
  /** Conductor cross-section, m2. */
  cableAreaM2: Quantity | null;
  cableLengthM: Quantity | null;
  tankVolumeM3: Quantity | null;
  prechargePaGauge: Quantity | null;
  tankRatedPaGauge: Quantity | null;
  cutInPaGauge: Quantity | null;
  cutOutPaGauge: Quantity | null;
  reliefPaGauge: Quantity | null;
}

export interface CalibrationRecord {
  channel: 'pressure' | 'current';
  sensor: string | null;
  fromS: number;
  /** Unix s of the service that replaced its sensor; null while none has. */
  untilS: number | null;
  raw: 'V' | 'count';
  /** Raw value, reference in SI (Pa gauge or A), standard uncertainty of the reference. */
  points: { raw: number; reference: number; referenceStd: number }[];
}

export interface BucketTest {
  startS: number;
  stopS: number;
  volumeM3: number;
  volumeM3Std: number;
}

export const OTHER_TESTS = [
  'isolation_test',
  'precharge_test',
  'drain_test',
  'fill_test',
  'throttle_test',
  'recovery_test',
  'sounding',
] as const;

/** A test other than the bucket: when, and what was measured, SI by key as in the docs. */
export interface OtherTest {
  kind: (typeof OTHER_TESTS)[number];
  startS: number;
  stopS: number;
  measured: Record<string, number>;
  /** Steady points of a throttle test, in the order of the file. */
  points?: {
    pressurePaGauge: number;
    pressurePaGaugeStd: number;
    flowM3PerS: number;
    flowM3PerSStd: number;
  }[];
}

export interface ServiceRecord {
  onS: number;
  did: string;
  resets: ResetKind[];
  /** What holds from then on. */
  now: Partial<Equipment>;
}

export interface KnownUse {
  what: string;
  /** 0 Monday to 6 Sunday. */
  days: number[];
  /** Seconds after local midnight. */
  fromS: number;
  toS: number;
}

export interface Logging {
  policy: 'fixed' | 'on-change' | null;
  /** Pa for pressure. */
  deadbandPa: number | null;
  longestSilenceS: number | null;
  /** Foreign heading to our own, as in `"pressure [psi]"`. */
  columns: Record<string, string>;
}

/** The well file, parsed: SI inside, every gap an explicit null. */
export interface Well {
  name: string;
  id: string;
  /** IANA zone. */
  timeZone: string;
  altitudeM: Quantity;
  units: 'us' | 'si';
  equipment: Equipment;
  energyPrice: { perJ: number; currency: string } | null;
  people: number | null;
  logging: Logging;
  knownUses: KnownUse[];
  calibrations: CalibrationRecord[];
  bucketTests: BucketTest[];
  otherTests: OtherTest[];
  services: ServiceRecord[];
  /** `[sensing]` as written, for the chain check. */
  sensing: Record<string, unknown> | null;
}

/** Channels whose readings go through a calibration, and what they become. */
export const RAW_OF: Partial<Record<Channel, Channel>> = {
  'pressure-raw': 'pressure',
  'current-raw': 'current',
};
