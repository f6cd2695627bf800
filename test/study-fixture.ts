import type { DayEntry, FindingEntry, RunEntry, Study } from '../src/model/study.ts';
import type { Equipment, Quantity, Well } from '../src/model/well.ts';

// Studies and wells made by hand, for tests of what is printed and what the schema allows.

const PSI_PA = 6894.757;
const GALLON_M3 = 0.003785411784;

export const psi = (value: number) => value * PSI_PA;
export const gal = (value: number) => value * GALLON_M3;

/** A text as one line, so that a sentence is found wherever it was broken. */
export const flat = (text: string) => text.replaceAll(/\s+/g, ' ').trim();

const quantity = (value: number): Quantity => ({
  value,
  std: Math.abs(value) / 20 + 1e-9,
  source: 'nameplate',
  onS: null,
});

const NO_EQUIPMENT: Equipment = {
  staticLevelM: null,
  casingM: null,
  pumpKind: null,
  motor: null,
  powerW: null,
  voltageV: null,
  phases: null,
  fullLoadCurrentA: null,
  serviceFactorCurrentA: null,
  ratedFlowM3PerS: null,
  intakeDepthM: null,
  curve: null,
  pipeMaterial: null,
  pipeInsideDiameterM: null,
  pipeLengthM: null,
  cableAreaM2: null,
  cableLengthM: null,
  tankVolumeM3: null,
  prechargePaGauge: null,
  tankRatedPaGauge: null,
  cutInPaGauge: null,
  cutOutPaGauge: null,
  reliefPaGauge: null,
};

export const wellOf = (parts: Partial<Well> = {}): Well => ({
  name: 'Alder barn',
  id: 'alder-barn',
  timeZone: 'America/Denver',
  altitudeM: quantity(488),
  units: 'us',
  equipment: NO_EQUIPMENT,
  energyPrice: { perJ: 0.17 / 3.6e6, currency: 'USD' },
  people: null,
  logging: { policy: null, deadbandPa: null, longestSilenceS: null, columns: {} },
  knownUses: [],
  calibrations: [],
  bucketTests: [],
  otherTests: [],
  services: [],
  sensing: null,
  ...parts,
});

export const runOf = (parts: Partial<RunEntry> = {}): RunEntry => ({
  start: '2026-04-06T12:12:31.4Z',
  startStdS: 0.3,
  stop: '2026-04-06T12:14:02.2Z',
  stopStdS: 0.3,
  begun: 'cut-in',
  ended: 'cut-out',
  breaks: 0,
  foundBy: 'current',
  cutInPaGauge: psi(39.8),
  cutOutPaGauge: psi(60.1),
  meanCurrentA: 8.27,
  pumpedM3: gal(11.234),
  pumpedM3Std: gal(0.17),
  ...parts,
});

export const dayOf = (parts: Partial<DayEntry> = {}): DayEntry => ({
  date: '2026-04-06',
  coveredS: 86_400,
  usedM3: gal(182.4),
  usedM3Std: gal(2.1),
  lossM3: gal(12.3),
  lossM3Std: gal(1.6),
  lossHouseShare: null,
  pumpedM3: gal(196.7),
  pumpedM3Std: gal(2.4),
  energyJ: 2.93 * 3.6e6,
  energyJStd: 0.14 * 3.6e6,
  cost: 0.4981,
  costStd: 0.024,
  starts: 14,
  runS: 3720,
  levelDropM: 4.21,
  levelDropMStd: 0.4,
  pumpingLevelM: null,
  pumpingLevelMStd: null,
  pumpIndex: 0.983,
  pumpIndexStd: 0.011,
  specificCapacityM2PerS: 1.5e-4,
  specificCapacityM2PerSStd: 2e-5,
  energyPerVolumeJPerM3: 1.42e7,
  energyPerVolumeJPerM3Std: 7e5,
  energyFloorJPerM3: 4.1e6,
  ...parts,
});

export const findingOf = (parts: Partial<FindingEntry> = {}): FindingEntry => ({
  id: 'f1',
  fault: 'tank-waterlogged',
  probability: 0.91,
  since: '2026-04-06T09:10:00Z',
  raised: '2026-04-06T15:00:00Z',
  cleared: null,
  replacedBy: null,
  urgency: 'today',
  evidence: [
    {
      says: 'The tank filled from cut-in to cut-out much too fast.',
      observed: 4.37,
      expected: 62.31,
      expectedStd: 3.9,
      unit: 's',
    },
  ],
  alike: null,
  instead: [
    { fault: 'precharge-low', probability: 0.07 },
    { fault: 'unknown-trouble', probability: 0.02 },
  ],
  history: [{ at: '2026-04-06T15:00:00Z', fault: 'tank-waterlogged', probability: 0.91 }],
  nextTest: 'precharge',
  action: 'Use little water and have the tank looked at.',
  cautions: ['tank-drained-power-off'],
  ...parts,
});

export const studyOf = (parts: Partial<Study> = {}): Study => ({
  schema: 1,
  pump: [],
  recovery: {
    specificCapacityM2PerS: null,
    specificCapacityM2PerSStd: null,
    recoveryS: null,
    recoverySStd: null,
  },
  well: 'alder-barn',
  span: {
    from: '2026-04-06T06:00:00Z',
    to: '2026-04-07T06:30:00Z',
    readings: { pressure: 17_640, current: 17_640 },
    setAside: { duplicate: 3, stuck: 12 },
  },
  scale: [
    {
      from: '2026-04-06T06:00:00Z',
      basis: 'bucket-test',
      tankConstantPaM3: 110_000,
      tankConstantPaM3Std: 1000,
    },
  ],
  runs: [runOf()],
  days: [dayOf()],
  draws: [
    {
      start: '2026-04-06T13:00:00Z',
      stop: '2026-04-06T13:07:00Z',
      volumeM3: gal(15.83),
      volumeM3Std: gal(0.2),
      peakFlowM3PerS: gal(2.31) / 60,
    },
    {
      start: '2026-04-06T14:00:00Z',
      stop: '2026-04-06T14:01:00Z',
      volumeM3: gal(1.6),
      volumeM3Std: gal(0.05),
      peakFlowM3PerS: gal(3) / 60,
    },
  ],
  findings: [],
  unknown: [
    {
      field: 'days.pumpingLevelM',
      because: 'no static level stands in the well file',
      test: 'sounding',
    },
  ],
  tests: [
    {
      test: 'isolation',
      start: '2026-04-06T15:00:00Z',
      stop: '2026-04-06T16:02:00Z',
      unusable: null,
      found: [{ what: 'share of the loss on the house side', value: 0.94, std: 0.03, unit: '1' }],
      bearing: [{ fault: 'leak-house', logLikelihood: 0 }],
    },
  ],
  told: ['The log has one gap of 12 minutes.'],
  ...parts,
});

/** The same log without any scale: volumes in drawdowns, m3 null. */
export const relativeStudy = (): Study => {
  const noVolumes = { pumpedM3: null, pumpedM3Std: null };
  return studyOf({
    scale: [
      {
        from: '2026-04-06T06:00:00Z',
        basis: 'relative',
        tankConstantPaM3: null,
        tankConstantPaM3Std: null,
      },
    ],
    runs: [runOf({ ...noVolumes, pumpedPerTank: 1.023, pumpedPerTankStd: 0.011 })],
    days: [
      dayOf({
        ...noVolumes,
        usedM3: null,
        usedM3Std: null,
        lossM3: null,
        lossM3Std: null,
        specificCapacityM2PerS: null,
        specificCapacityM2PerSStd: null,
        energyPerVolumeJPerM3: null,
        energyPerVolumeJPerM3Std: null,
        energyFloorJPerM3: null,
        usedPerTank: 16.24,
        usedPerTankStd: 0.13,
        lossPerTank: 1.11,
        lossPerTankStd: 0.09,
        pumpedPerTank: 17.31,
        pumpedPerTankStd: 0.14,
      }),
    ],
    draws: [
      {
        start: '2026-04-06T13:00:00Z',
        stop: '2026-04-06T13:07:00Z',
        volumeM3: null,
        volumeM3Std: null,
        volumePerTank: 1.433,
        volumePerTankStd: 0.02,
        peakFlowM3PerS: null,
      },
    ],
    unknown: [
      { field: 'days.usedM3', because: 'no volume is measured or on a nameplate', test: 'bucket' },
      { field: 'days.pumpingLevelM', because: 'no static level is known', test: 'sounding' },
    ],
  });
};

/** A log that told nothing but that there were readings. */
export const emptyStudy = (): Study =>
  studyOf({
    span: {
      from: '2026-04-06T06:00:00Z',
      to: '2026-04-06T07:00:00Z',
      readings: { pressure: 720 },
      setAside: {},
    },
    scale: [],
    runs: [],
    days: [],
    draws: [],
    unknown: [],
    tests: [],
    told: [],
  });
