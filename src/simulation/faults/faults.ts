import type { FaultName } from '../../model/faults.ts';
import { GALLON_M3, GPM_M3_PER_S, PSI_PA, WATER_PA_PER_M } from '../constants.ts';
import type { PlantDesign } from '../plant/design.ts';
import type { Condition } from './condition.ts';

/** Every fault but the one that has no name. */
export type RehearsedFault = Exclude<FaultName, 'unknown-trouble'>;

/** One fault of a scenario: what, from when, how fast it grows, how bad it gets. */
export interface FaultSpec {
  name: RehearsedFault;
  /** Days after the start. */
  onsetDay: number;
  /** Days from onset to full; 0 is at once. Default by fault. */
  growthDays?: number;
  /** 1 is the fully grown fault as the trade meets it. */
  severity?: number;
  /** Days after the start on which it is mended. */
  mendedDay?: number;
  /** Other value of a fault that has two looks. */
  form?: string;
}

interface Moment {
  design: PlantDesign;
  timeS: number;
  /** Seconds since onset. */
  sinceS: number;
  form: string | undefined;
}

interface FaultModel {
  /** Days it usually takes to grow. */
  growthDays: number;
  /** Other looks that it can have. */
  forms?: readonly string[];
  apply(c: Condition, s: number, at: Moment): void;
}

const gpm = (x: number) => x * GPM_M3_PER_S;
const psi = (x: number) => x * PSI_PA;
const HOUR_S = 3600;

/** Diameter loss that leaves the pump this much head at shut-off. */
function lossForShutOff(design: PlantDesign, paGauge: number): number {
  const staticM = design.staticDepthM - design.seasonM;
  const head = staticM + design.teeAboveGroundM + paGauge / WATER_PA_PER_M;
  // At low load the pump turns 3 to 4 % faster than at its rated point.
  return 1 - Math.sqrt(head / (design.pump.shutOffHeadM * 1.09));
}

/**
 * Resistance of the screen, in its new value, at which rated flow draws this share of the column.
 */
function skinFor(design: PlantDesign, share: number): number {
  const rated = design.pump.ratedFlowM3PerS;
  const column = design.intakeDepthM - design.staticDepthM;
  const loss = design.aquifer.skinSPerM2 + design.aquifer.turbulenceS2PerM5 * rated;
  return (share * column) / (loss * rated);
}

const TANK = {
  'tank-waterlogged': { growthDays: 1.5, apply: (c, s) => (c.gasShare *= 1 - 0.85 * s) },
  'precharge-low': { growthDays: 20, apply: (c, s) => (c.gasShare *= 1 - 0.35 * s) },
  'precharge-high': {
    growthDays: 0,
    apply: (c, s, { design }) => {
      const above = design.cutInPaGauge + psi(7) * s - design.prechargePaGauge;
      c.gasShare *= 1 + above / (design.prechargePaGauge + design.atmospherePa);
    },
  },
  'tank-isolated': { growthDays: 0, apply: (c, s) => (c.tankValveShare *= 10 ** (-2.75 * s)) },
  'tank-undersized': {
    growthDays: 0,
    apply: (c, s) => {
      c.pumpScale *= 1 + 1.2 * s;
      c.motorScale *= 1 + 1.2 * s;
    },
  },
  'relief-lifting': {
    growthDays: 3,
    apply: (c, s, { design }) => {
      c.reliefOpensShiftPa += s * (design.cutOutPaGauge - psi(3) - design.reliefPaGauge);
    },
  },
} satisfies Record<string, FaultModel>;

const WATER = {
  'leak-house': {
    growthDays: 0,
    apply: (c, s) => {
      c.houseLeak = { flowAt50PsiM3PerS: gpm(0.15 * s), exponent: 0.5 };
    },
  },
  'leak-burst': {
    growthDays: 0,
    apply: (c, s, { design }) => {
      const flow = 0.9 * s * design.pump.ratedFlowM3PerS;
      c.houseLeak = { flowAt50PsiM3PerS: flow, exponent: 0.55 };
    },
  },
  'leak-before-house-valve': {
    growthDays: 0,
    apply: (c, s) => {
      c.lineLeak = { flowAt50PsiM3PerS: gpm(0.3 * s), exponent: 0.7 };
    },
  },
  'fixture-running': {
    growthDays: 0,
    forms: ['seep'],
    apply: (c, s, { form }) => {
      if (form === 'seep') c.seepM3PerS += gpm(0.3 * s);
      else {
        c.refillM3 = 0.5 * GALLON_M3;
        c.refillEveryS = 900 / Math.max(s, 0.05);
      }
    },
  },
  'heavy-use': {
    growthDays: 0,
    apply: (c, s, { design, timeS }) => {
      const hour = (timeS / HOUR_S) % 24;
      if (hour >= 5 && hour < 5 + 8 * s) c.steadyUseM3PerS += 0.45 * design.pump.ratedFlowM3PerS;
    },
  },
  'check-valve-leak': {
    growthDays: 0,
    forms: ['riser'],
    apply: (c, s, { form }) => {
      c.checkLeakShare += 0.04 * s;
      c.riserDrains ||= form === 'riser';
    },
  },
  'drop-pipe-parted': {
    growthDays: 0,
    apply: (c, s, { design }) => (c.pipeHoleM3PerS += 1.4 * s * design.pump.ratedFlowM3PerS),
  },
  'filter-plugged': { growthDays: 30, apply: (c, s) => (c.filterShare *= 1 - 0.45 * s) },
  'water-hammer': { growthDays: 0, apply: (c, s) => (c.hammerPa += psi(35 * s)) },
} satisfies Record<string, FaultModel>;

const WELL = {
  'level-falling-in-run': {
    growthDays: 0,
    apply: (c, s, { design }) => (c.skinFactor *= 1 + s * (skinFor(design, 2.5) - 1)),
  },
  'running-dry': {
    growthDays: 0,
    apply: (c, s, { design }) => {
      c.staticShiftM += s * (design.intakeDepthM - design.staticDepthM - 2);
      c.skinFactor *= 1 + s * (skinFor(design, 1.2) - 1);
    },
  },
  'screen-clogged': {
    growthDays: 60,
    apply: (c, s, { design }) => (c.skinFactor *= 1 + s * (skinFor(design, 1) - 1)),
  },
  'static-level-falling': {
    growthDays: 30,
    apply: (c, s, { design }) => {
      c.staticShiftM += s * Math.min(12, 0.45 * (design.intakeDepthM - design.staticDepthM));
    },
  },
  'gas-in-water': { growthDays: 0, apply: (c, s) => (c.gasInWater += 0.12 * s) },
  'intake-clogged': { growthDays: 20, apply: (c, s) => (c.chokeShare += 0.3 * s) },
  'valve-part-shut': { growthDays: 0, apply: (c, s) => (c.chokeShare += 0.35 * s) },
} satisfies Record<string, FaultModel>;

const PUMP = {
  'pump-worn': {
    growthDays: 30,
    apply: (c, s) => {
      c.wearLeakFactor *= 1 + 2.6 * s;
      c.diameterLoss += 0.025 * s;
    },
  },
  'pump-uncoupled': { growthDays: 0, apply: (c) => (c.coupled = false) },
  'pump-dragging': { growthDays: 5, apply: (c, s) => (c.dragShare += 0.16 * s) },
  'pump-changed': {
    growthDays: 0,
    apply: (c, s) => {
      c.pumpScale *= 1 + 0.35 * s;
      c.motorScale *= 1 + 0.35 * s;
    },
  },
  'rotor-locked': { growthDays: 0, apply: (c) => (c.rotorLocked = true) },
  'start-circuit-weak': {
    growthDays: 0,
    apply: (c, s) => {
      c.startCapacitance *= 1 - 0.75 * s;
      c.startMissShare = 0.35 * s;
    },
  },
  'run-capacitor-weak': { growthDays: 0, apply: (c, s) => (c.runCapacitance *= 1 - 0.75 * s) },
  'overload-tripping': { growthDays: 0, apply: (c, s) => (c.protectorShare *= 1 - 0.45 * s) },
  'voltage-low': { growthDays: 0, apply: (c, s) => (c.voltageShare *= 1 - 0.1 * s) },
  'voltage-high': { growthDays: 0, apply: (c, s) => (c.voltageShare *= 1 + 0.1 * s) },
  'joint-hot': {
    growthDays: 0,
    apply: (c, s, { design, timeS }) => {
      const jitter = 1 + 0.5 * Math.sin(timeS / 7) * Math.sin(timeS / 3.1);
      c.jointOhm += ((0.06 * s * design.lineV) / design.serviceFactorA) * jitter;
    },
  },
  'power-out': {
    growthDays: 0,
    apply: (c, s, { sinceS }) => (c.powerOut ||= sinceS < 5 * HOUR_S * s),
  },
} satisfies Record<string, FaultModel>;

const SWITCH = {
  'switch-nipple-plugged': { growthDays: 3, apply: (c, s) => (c.nippleLagS += 25 * s) },
  'switch-drift': {
    growthDays: 10,
    forms: ['cut-in', 'cut-out'],
    apply: (c, s, { form }) => {
      if (form !== 'cut-out') c.cutInShiftPa -= psi(5 * s);
      if (form !== 'cut-in') c.cutOutShiftPa -= psi(5 * s);
    },
  },
  'switch-chatter': { growthDays: 0, apply: (c, s) => (c.chatter = Math.min(1, s)) },
  'switch-welded': { growthDays: 0, apply: (c) => (c.welded = true) },
  'cut-out-unreachable': {
    growthDays: 0,
    apply: (c, s, { design }) => {
      const loss = lossForShutOff(design, design.cutOutPaGauge - psi(5));
      c.diameterLoss += s * Math.max(loss, 0);
    },
  },
  'switch-no-start': { growthDays: 0, apply: (c) => (c.contactsOpen = true) },
  frozen: {
    growthDays: 0,
    forms: ['line'],
    apply: (c, s, { timeS, form }) => {
      const hour = (timeS / HOUR_S) % 24;
      const cold = hour < 4 + 6 * s;
      if (form === 'line') c.lineFrozen ||= cold;
      else c.nippleFrozen ||= cold;
    },
  },
} satisfies Record<string, FaultModel>;

const SENSING = {
  'pressure-wire-open': { growthDays: 0, apply: (c) => (c.pressureStuckAt = 'low') },
  'pressure-wire-short': { growthDays: 0, apply: (c) => (c.pressureStuckAt = 'high') },
  'pressure-supply-sag': { growthDays: 0, apply: (c, s) => (c.supplySagShare += 0.06 * s) },
  'pressure-drift': { growthDays: 20, apply: (c, s) => (c.pressureZeroPa += psi(5 * s)) },
  'pressure-port-plugged': { growthDays: 3, apply: (c, s) => (c.portLagS += 40 * s) },
  'current-clamp-gap': { growthDays: 0, apply: (c, s) => (c.currentGain *= 1 - 0.4 * s) },
  'current-clamp-off': { growthDays: 0, apply: (c) => (c.currentOff = true) },
  'current-clipped': {
    growthDays: 0,
    apply: (c, s, { design }) => (c.currentClipA = design.serviceFactorA * (1.1 - 0.35 * s)),
  },
  'adc-stuck': {
    growthDays: 0,
    apply: (c, s, { sinceS }) => {
      if (sinceS % (6 * HOUR_S) < 4 * HOUR_S * s) c.pressureStuckAt = 'last';
    },
  },
  'clock-jump': {
    growthDays: 0,
    // Forward at onset; set right, that is back, six hours later.
    apply: (c, s, { sinceS }) => {
      if (sinceS < 6 * HOUR_S) c.clockShiftS += Math.round(HOUR_S * s);
    },
  },
  'data-gap': {
    growthDays: 0,
    apply: (c, s, { sinceS }) => (c.silent ||= sinceS < 12 * HOUR_S * s),
  },
  'sampling-too-slow': { growthDays: 0, apply: (c, s) => (c.slowS = 60 * s) },
} satisfies Record<string, FaultModel>;

/** Every fault of the design's table that a plant can have. */
export const FAULT_MODELS: Readonly<Record<RehearsedFault, FaultModel>> = {
  ...TANK,
  ...WATER,
  ...WELL,
  ...PUMP,
  ...SWITCH,
  ...SENSING,
};

/** Forms that a fault has beside its usual one. */
export function formsOf(name: RehearsedFault): readonly string[] {
  return FAULT_MODELS[name].forms ?? [];
}

/** Days that a fault of a scenario takes to grow. */
export function growthDaysOf(fault: FaultSpec): number {
  return fault.growthDays ?? FAULT_MODELS[fault.name].growthDays;
}

/** Puts what is wrong at a moment into a condition fresh from `sound()`. */
export function applyFaults(
  condition: Condition,
  faults: readonly FaultSpec[],
  at: { design: PlantDesign; startS: number; timeS: number },
): void {
  for (const fault of faults) {
    const model = FAULT_MODELS[fault.name];
    const sinceS = at.timeS - at.startS - fault.onsetDay * 86400;
    if (sinceS < 0) continue;
    if (fault.mendedDay !== undefined && at.timeS - at.startS >= fault.mendedDay * 86400) continue;
    const growthS = growthDaysOf(fault) * 86400;
    const grown = growthS === 0 ? 1 : Math.min(1, sinceS / growthS);
    model.apply(condition, grown * (fault.severity ?? 1), {
      design: at.design,
      timeS: at.timeS,
      sinceS,
      form: fault.form,
    });
  }
}
