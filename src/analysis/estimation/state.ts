import type { Equipment, ServiceRecord, Well } from '../../model/well.ts';
import { atmosphericPressurePa } from '../../physics/air/atmospheric-pressure.ts';
import { tankConstantPaM3 } from '../../physics/tank/tank-constant.ts';
import { casingAreaM2 } from '../../physics/well/casing-area.ts';
import { PSI_PA } from '../../units/table.ts';
import type { TrackedRun } from '../runs/tracker.ts';
import { type AmpsCurve, createAmpsCurve } from './amps-curve.ts';
import { type BucketRecord, createBucketRecords } from './bucket.ts';
import type { DayRecord } from './days.ts';
import { createDelivery, type DeliveryState } from './delivery.ts';
import { createDrawdown, type Drawdown, reopenPump } from './drawdown.ts';
import { createDraws, type Draws } from './draws.ts';
import { type PowerModel, powerModel } from './energy.ts';
import { createLoss, type LossState } from './loss.ts';
import { type NominalDelivery, nominalDelivery, type SwitchBand } from './nominal-delivery.ts';
import { type PlateAmps, plateAmps } from './plate-amps.ts';
import { createRunWindow, type RunWindow } from './run-window.ts';
import { anyWells, casingWells } from './supposed-wells.ts';
import { createDrawTable, createRunTable, type RunRow, type Table } from './tables.ts';
import { createTankGas, type TankGas } from './tank-gas.ts';
import { createUsualCutIn, type UsualCutIn } from './usual-cut-in.ts';
import { createWeakRun, type WeakRun } from './weak-run.ts';

/** What the well file fixes for one epoch: not state, made again from the file on restore. */
export interface Known {
  atmospherePa: number;
  timeZone: string;
  band: SwitchBand;
  /** Absolute pressure at the middle of the band: volumes are in tank constant over this. */
  referencePa: number;
  /** Largest gas volume that the tank holds, reference units; Infinity where not known. */
  fullOfGas: number;
  nominal: NominalDelivery;
  /** Tank constant by nameplate [Pa m3] and its relative std; NaN where not known. */
  nameplatePaM3: number;
  nameplateRelStd: number;
  power: PowerModel;
  /** Amps at work by the motor's plate. */
  plate: PlateAmps;
  equipment: Equipment;
}

export interface Tail {
  timeS: number[];
  pressurePa: number[];
}

export interface Epoch {
  fromS: number;
  /** Number of services in force, which finds `Known` again. */
  services: number;
}

export interface EstimationState {
  gas: TankGas;
  window: RunWindow;
  delivery: DeliveryState;
  /** Drawdown as the balance of a run allows for it, and as it is told. */
  drawdown: Drawdown;
  level: Drawdown;
  /** The level of the well as it was before each service of it. */
  formerWells: Drawdown[];
  draws: Draws;
  loss: LossState;
  amps: AmpsCurve;
  weak: WeakRun;
  /** What share of a run its readings leave open at start and stop, followed over runs. */
  openShare: number;
  /** When the last run ended that was weak; NaN before the first. */
  lastWeakS: number;
  buckets: BucketRecord[];
  runs: Table;
  drawTable: Table;
  days: DayRecord[];
  epochs: Epoch[];
  services: number;
  open: TrackedRun | null;
  pending: TrackedRun | null;
  /** Stop of the last run, and whether the next one follows a long rest. */
  lastStopS: number;
  restS: number;
  lastS: number;
  lastVolume: number;
  lastRoot: number;
  lastOn: boolean;
  /** Whether the pump ran at the last reading of pressure. */
  pumpWasOn: boolean;
  lastA: number;
  lastCurrentS: number;
  mainsV: number;
  /** Net inflow to the tank, reference units a minute, smoothed. */
  netPerMin: number;
  /** Tee friction [Pa] at a net inflow of one reference unit a minute; goes with its square. */
  frictionPa: number;
  frictionRuns: number;
  restTail: Tail;
  runTail: Tail;
  startTail: Tail;
  /** Changes of gas volume since the last balance, by day: they wait for the tank's factor. */
  waiting: { day: number; change: number }[];
  /** The tank constant now over the one that the scale names. */
  tankFactor: number;
  /** How far runs stray from the delivery believed, relative, smoothed. */
  strayed: number;
  /** By how much use falls at a start, over delivery, smoothed: by nothing where runs differ. */
  startDrop: number;
  /** Steady loss as last told by a day. */
  lossRate: number;
  lossStd: number;
  pausing: { share: number; std: number };
  medianCutInPa: number;
  cutIns: UsualCutIn;
  medianCutOutPa: number;
  /** Where runs began or ended while none met the set point of the file; null once one has. */
  unmetCutInPa: number[] | null;
  unmetCutOutPa: number[] | null;
  medianA: number;
  /** Water used a day, as usual: reference units. */
  usualDay: number;
  seenRuns: number;
  /** Runs in a row that pressure showed and the amps denied, since when, and as last told. */
  unseenByAmps: number;
  firstUnseenS: number;
  lastUnseenRuns: number;
  /** Usual length of a run, s. */
  usualRunS: number;
  /** Delivery in the first runs after a long rest: what the pump index is measured by. */
  rested: { runs: number; mean: number };
  /** The gas's kappa and tau that delivery was learnt with. */
  gasOfDelivery: { kappa: number; tauS: number; stops: number };
  /** Delivery once learnt, to restate the first runs: b0, b1, at which run. */
  firstLearnt: { b0: number; b1: number; runs: number };
  scaleChanges: { fromS: number; factor: number; epoch: number }[];
  /** The run settled last, for those who judge runs; null once it has been taken. */
  settled: SettledRun | null;
}

/** A run in the book, with what it says by itself of delivery. */
export interface SettledRun {
  row: RunRow;
  /** Delivery at mid band by this run alone [reference units a minute]; NaN where it cannot say. */
  ratePerMin: number;
  /** Rest before it, s; NaN where not known. */
  restS: number;
  /** Mains voltage as last read; NaN without that channel. */
  mainsV: number;
  /** Whether any run so far has ended where the switch is thought to be set. */
  cutOutMet: boolean;
}

function equipmentAt(well: Well, services: number): Equipment {
  const equipment = { ...well.equipment };
  for (const service of well.services.slice(0, services)) Object.assign(equipment, service.now);
  return equipment;
}

export function knownOf(well: Well, services: number): Known {
  const equipment = equipmentAt(well, services);
  const atmospherePa = atmosphericPressurePa(well.altitudeM.value);
  const cutIn = equipment.cutInPaGauge?.value ?? guessCutIn(equipment);
  const cutOut = equipment.cutOutPaGauge?.value ?? cutIn + 20 * PSI_PA;
  const band = {
    middlePaGauge: (cutIn + cutOut) / 2,
    halfPa: Math.max((cutOut - cutIn) / 2, PSI_PA),
  };
  const referencePa = band.middlePaGauge + atmospherePa;
  const precharge = equipment.prechargePaGauge?.value ?? cutIn - 2 * PSI_PA;
  const prechargeStd = equipment.prechargePaGauge?.std ?? 5 * PSI_PA;
  const volume = equipment.tankVolumeM3;
  const known = volume !== null;
  return {
    atmospherePa,
    timeZone: well.timeZone,
    band,
    referencePa,
    fullOfGas:
      equipment.prechargePaGauge === null
        ? Infinity
        : referencePa / (precharge - prechargeStd + atmospherePa),
    nominal: nominalDelivery(equipment, band),
    nameplatePaM3: known ? tankConstantPaM3(volume.value, precharge + atmospherePa) : NaN,
    nameplateRelStd: known
      ? Math.hypot(volume.std / volume.value, prechargeStd / (precharge + atmospherePa))
      : NaN,
    power: powerModel(equipment),
    plate: plateAmps(equipment),
    equipment,
  };
}

/** Common practice: the switch cuts in 2 psi above precharge, 20 psi below cut-out; else 40 psi. */
function guessCutIn(equipment: Equipment): number {
  if (equipment.cutOutPaGauge !== null) return equipment.cutOutPaGauge.value - 20 * PSI_PA;
  if (equipment.prechargePaGauge !== null) return equipment.prechargePaGauge.value + 2 * PSI_PA;
  return 40 * PSI_PA;
}

/** Delivery by nameplate in reference units a minute; wide where the tank is not known. */
function priorDelivery(known: Known): DeliveryState {
  const { nominal } = known;
  const hasScale = !Number.isNaN(known.nameplatePaM3);
  // A usual tank and pump are made for a fill of about a minute and a half.
  const typical = (known.referencePa / (known.referencePa - known.band.halfPa) - 1) * 1.3;
  const unit = known.nameplatePaM3 / known.referencePa;
  const b0 = hasScale ? (nominal.flowM3PerS * 60) / unit : typical;
  const rel = hasScale ? Math.hypot(nominal.relStd, known.nameplateRelStd) : 0.7;
  const b1 = b0 * nominal.slope;
  return createDelivery({
    b0,
    b1,
    v00: (rel * b0) ** 2,
    v01: rel ** 2 * b0 * b1,
    v11: (rel * b1) ** 2 + (nominal.slopeStd * b0) ** 2,
  });
}

/** A well of which nothing was seen yet. */
function freshWell(equipment: Equipment): Pick<EstimationState, 'drawdown' | 'level'> {
  const { areaM2, relStd } = casingOf(equipment);
  const columnM = columnOf(equipment);
  return {
    drawdown: createDrawdown(casingWells(areaM2), relStd, columnM),
    level: createDrawdown(anyWells(areaM2, relStd), relStd, columnM),
  };
}

function casingOf(equipment: Equipment): { areaM2: number; relStd: number } {
  const inside = equipment.casingM;
  const pipe = (equipment.pipeInsideDiameterM?.value ?? 0.0267) + 0.007;
  const diameter = inside?.value ?? 0.154;
  const areaM2 = casingAreaM2(diameter, Math.min(pipe, 0.6 * diameter));
  return {
    areaM2,
    relStd: inside === null ? 0.3 : Math.max((2 * inside.std) / inside.value, 0.05),
  };
}

/** Water over the intake when rested, m; Infinity where not known. */
function columnOf(equipment: Equipment): number {
  const { intakeDepthM, staticLevelM } = equipment;
  if (intakeDepthM === null || staticLevelM === null) return Infinity;
  return Math.max(intakeDepthM.value - staticLevelM.value, 3);
}

const emptyTail = (): Tail => ({ timeS: [], pressurePa: [] });

export function createEstimation(well: Well): EstimationState {
  const known = knownOf(well, 0);
  return {
    gas: createTankGas(),
    window: createRunWindow(),
    delivery: priorDelivery(known),
    ...freshWell(known.equipment),
    formerWells: [],
    draws: createDraws(),
    loss: createLoss(),
    amps: createAmpsCurve(),
    weak: createWeakRun(),
    openShare: 0,
    lastWeakS: NaN,
    buckets: createBucketRecords(well.bucketTests),
    runs: createRunTable(),
    drawTable: createDrawTable(),
    days: [],
    epochs: [{ fromS: -Infinity, services: 0 }],
    services: 0,
    open: null,
    pending: null,
    lastStopS: NaN,
    restS: NaN,
    lastS: NaN,
    lastVolume: NaN,
    lastRoot: NaN,
    lastOn: false,
    pumpWasOn: false,
    lastA: NaN,
    lastCurrentS: NaN,
    mainsV: NaN,
    netPerMin: 0,
    frictionPa: 0,
    frictionRuns: 0,
    restTail: emptyTail(),
    runTail: emptyTail(),
    startTail: emptyTail(),
    waiting: [],
    tankFactor: 1,
    strayed: 0,
    startDrop: 0,
    lossRate: 0,
    lossStd: 1e-4,
    pausing: { share: 0.3, std: 0.5 },
    medianCutInPa: known.equipment.cutInPaGauge?.value ?? NaN,
    cutIns: createUsualCutIn(),
    medianCutOutPa: known.equipment.cutOutPaGauge?.value ?? NaN,
    unmetCutInPa: [],
    unmetCutOutPa: [],
    medianA: NaN,
    usualDay: NaN,
    seenRuns: 0,
    unseenByAmps: 0,
    firstUnseenS: NaN,
    lastUnseenRuns: 0,
    usualRunS: NaN,
    rested: { runs: 0, mean: 0 },
    gasOfDelivery: { kappa: NaN, tauS: NaN, stops: 0 },
    firstLearnt: { b0: NaN, b1: NaN, runs: 0 },
    scaleChanges: [],
    settled: null,
  };
}

/** What a service resets. */
export function applyService(state: EstimationState, well: Well, service: ServiceRecord): Known {
  state.services += 1;
  const known = knownOf(well, state.services);
  const resets = (kind: ServiceRecord['resets'][number]): boolean => service.resets.includes(kind);
  if (resets('tank')) {
    state.epochs.push({ fromS: service.onS, services: state.services });
    state.gas = createTankGas();
    state.tankFactor = 1;
    state.frictionRuns = 0;
  }
  if (resets('tank') || resets('pump') || resets('well') || resets('plumbing')) {
    state.delivery = priorDelivery(known);
    state.rested = { runs: 0, mean: 0 };
    state.lastWeakS = NaN;
    reopenPump(state.drawdown);
    reopenPump(state.level);
  }
  if (resets('well')) {
    state.formerWells.push(state.level);
    Object.assign(state, freshWell(known.equipment));
  }
  if (resets('switch')) {
    state.medianCutInPa = known.equipment.cutInPaGauge?.value ?? NaN;
    state.medianCutOutPa = known.equipment.cutOutPaGauge?.value ?? NaN;
    state.unmetCutInPa = [];
    state.unmetCutOutPa = [];
  }
  if (resets('switch') || resets('pressure-sensor')) state.cutIns = createUsualCutIn();
  if (resets('pump') || resets('current-sensor')) {
    state.medianA = NaN;
    state.amps = createAmpsCurve();
  }
  return known;
}
