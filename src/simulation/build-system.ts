import { SYSTEMS, type SystemCard } from './catalogue.ts';
import {
  FOOT_M,
  GALLON_M3,
  GPM_M3_PER_S,
  HORSEPOWER_W,
  INCH_M,
  PSI_PA,
  WATER_PA_PER_M,
} from './constants.ts';
import type { Household, Irrigation } from './household/household.ts';
import type { PlantDesign } from './plant/design.ts';
import { motorCircuit } from './plant/motor-circuits.ts';
import { createRandom, type Random } from './random.ts';

/** Two columns of a generic table, read between its rows, held beyond its ends. */
function between(table: [number, number][], x: number): number {
  const after = table.findIndex(([at]) => at >= x);
  if (after === -1) return table.at(-1)![1];
  if (after === 0) return table[0]![1];
  const [x0, y0] = table[after - 1]!;
  const [x1, y1] = table[after]!;
  return y0 + ((x - x0) / (x1 - x0)) * (y1 - y0);
}

/** Best efficiency by rated flow in gpm, service factor by hp (common practice). */
const EFFICIENCY: [number, number][] = [
  [5, 0.47],
  [7, 0.53],
  [10, 0.58],
  [20, 0.6],
  [40, 0.65],
];
const SERVICE_FACTOR: [number, number][] = [
  [0.5, 1.6],
  [0.75, 1.5],
  [1, 1.4],
  [1.5, 1.3],
  [2, 1.25],
  [3, 1.15],
];
/** Line current at service-factor load, 230 V, without and with a run capacitor (from memory). */
const SERVICE_FACTOR_A: [number, number][] = [
  [0.5, 6],
  [0.75, 8],
  [1, 9.8],
  [1.5, 11.5],
  [2, 13.2],
  [3, 17],
];
const SERVICE_FACTOR_RUN_A: [number, number][] = [
  [0.5, 4.3],
  [0.75, 5.7],
  [1, 7.1],
  ...SERVICE_FACTOR_A.slice(3),
];
/**
 * Ohm per 1000 ft of one conductor, solid to 10 AWG, at 75 degC: NFPA 70-2017, Chapter 9, Table 8.
 */
const OHM_PER_KFT: [number, number][] = [
  [4, 0.308],
  [6, 0.491],
  [8, 0.778],
  [10, 1.21],
  [12, 1.93],
  [14, 3.07],
];
/** Copper lies in cool ground: 20 degC against the table's 75 degC. */
const COOL = 1 / (1 + 0.00393 * 55);
/** Head at rated flow over head at shut-off of multistage pumps of this size (common practice). */
const RATED_HEAD_SHARE = 0.7;
const SERVICE_OHM = 0.06;

/** US Standard Atmosphere 1976, troposphere. */
function atmospherePa(altitudeM: number): number {
  return 101325 * (1 - 2.25577e-5 * altitudeM) ** 5.25588;
}

/** What the well file says, where it differs from the truth by honest error. */
export interface Nameplate {
  tankGal: number;
  prechargePsi: number;
  ratedGpm: number;
  staticFt: number;
  fullLoadA: number;
}

export interface System {
  card: SystemCard;
  design: PlantDesign;
  nameplate: Nameplate;
  household: Household;
  sensing: { pressureNoisePa: number };
}

function serviceFactorA(c: SystemCard): number {
  const table = c.motor === 'capacitor-run' ? SERVICE_FACTOR_RUN_A : SERVICE_FACTOR_A;
  return between(table, c.hp) * (c.volts < 150 ? 2 : 1);
}

/** Shaft power the pump asks for at rated flow, W: 95 % of what the motor may give. */
const ratedShaftW = (c: SystemCard) => c.hp * between(SERVICE_FACTOR, c.hp) * HORSEPOWER_W;

/** Shut-off head, m, of a pump of this class that loads its motor as makers do. */
function shutOffHeadM(c: SystemCard): number {
  if (c.shutOffFt !== undefined) return c.shutOffFt * FOOT_M;
  const waterW = 0.951 * ratedShaftW(c) * between(EFFICIENCY, c.classGpm);
  return waterW / (WATER_PA_PER_M * c.classGpm * GPM_M3_PER_S) / RATED_HEAD_SHARE;
}

function pumpDesign(c: SystemCard, random: Random): PlantDesign['pump'] {
  const ratedHeadShare = RATED_HEAD_SHARE + 0.01 * random.normal();
  return {
    ratedFlowM3PerS: c.classGpm * GPM_M3_PER_S * (1 + 0.05 * random.normal()),
    shutOffHeadM: shutOffHeadM(c) * (1 + 0.025 * random.normal()),
    ratedHeadShare,
    // A parabola that starts level ends at 1 / sqrt(1 - share); beyond that the curve only falls.
    runOutShare: random.between(1.04, 1.06) / Math.sqrt(1 - ratedHeadShare),
    ratedEfficiency: between(EFFICIENCY, c.classGpm) + 0.01 * random.normal(),
    shutOffPowerShare: 0.56 + 0.015 * random.normal(),
    leakShare: random.between(0.05, 0.09),
    eulerSlope: random.between(0.42, 0.58),
    shocklessShare: random.between(0.9, 1.08),
    speedRadPerS: 0.935 * 2 * Math.PI * 60,
  };
}

function aquiferDesign(c: SystemCard): PlantDesign['aquifer'] {
  const ratio = 250 / ((c.casingIn * INCH_M) / 2);
  // A fifth of the drawdown at rated flow is well loss, a third of that turbulent.
  const totalSPerM2 = FOOT_M / (c.specificCapacityGpmPerFt * GPM_M3_PER_S);
  const rated = c.classGpm * GPM_M3_PER_S;
  const transmissivityM2PerS = Math.log(ratio) / (2 * Math.PI * 0.8 * totalSPerM2);
  const pipeAreaM2 = 0.25 * Math.PI * ((c.pipeIn + 0.26) * INCH_M) ** 2;
  return {
    transmissivityM2PerS,
    storativity: c.specificCapacityGpmPerFt < 1 ? 2e-4 : 8e-4,
    boreRadiusM: (c.casingIn * INCH_M) / 2,
    rechargeRadiusM: 250,
    shells: 12,
    casingAreaM2: 0.25 * Math.PI * (c.casingIn * INCH_M) ** 2 - pipeAreaM2,
    skinSPerM2: 0.13 * totalSPerM2,
    turbulenceS2PerM5: (0.07 * totalSPerM2) / rated,
  };
}

function tankHeat(c: SystemCard): PlantDesign['tankHeat'] {
  // Gas of a half-full tank at 5 bar absolute against the wall.
  const gasKg = (5e5 * 0.5 * c.tankGal * GALLON_M3) / (287.05 * 290);
  return {
    gasToWallWPerK: (gasKg * 717.8) / c.gasS,
    wallJPerK: 1500 + 130 * c.tankGal,
    wallToRoomWPerK: (1500 + 130 * c.tankGal) / (2.2 * 3600),
  };
}

function plantDesign(c: SystemCard, random: Random): PlantDesign {
  const rated = c.classGpm * GPM_M3_PER_S;
  const lengthM = (c.intakeFt + 60) * FOOT_M;
  const tank = c.tankGal * GALLON_M3 * (1 + 0.025 * random.normal());
  const cutIn = (c.cutInPsi + 0.7 * random.normal()) * PSI_PA;
  // Whoever charged the tank stayed below the cut-in, by a little or by more.
  const precharge = Math.min((c.cutInPsi - 2.2 + random.normal()) * PSI_PA, cutIn - 1.5 * PSI_PA);
  return {
    atmospherePa: atmospherePa(c.altitudeFt * FOOT_M),
    motorKind: c.motor,
    motor: motorCircuit(c.motor, c.hp, c.volts),
    ratedShaftW: ratedShaftW(c),
    serviceFactorA: serviceFactorA(c),
    lineV: (c.volts < 150 ? 118 : 236) * (1 + 0.012 * random.normal()),
    serviceOhm: SERVICE_OHM,
    supplyOhm: SERVICE_OHM + 2 * between(OHM_PER_KFT, c.awg) * COOL * (c.cableFt / 1000),
    pump: pumpDesign(c, random),
    riser: { lengthM, insideDiameterM: c.pipeIn * INCH_M, roughnessM: 1.5e-6, minorLossK: 6 },
    intakeDepthM: c.intakeFt * FOOT_M,
    teeAboveGroundM: random.between(-1.5, 1),
    staticDepthM: (c.staticFt + 2.5 * random.normal()) * FOOT_M,
    seasonM: random.between(0.5, 2.5),
    aquifer: aquiferDesign(c),
    neighbours: [],
    tankM3: tank,
    prechargePaGauge: precharge,
    tankHeat: tankHeat(c),
    teeFriction: (Math.max(c.teePsi, 0.02) * PSI_PA) / rated ** 2,
    pipeElasticityM3PerPa: (random.between(0.008, 0.02) * GALLON_M3) / PSI_PA,
    cutInPaGauge: cutIn,
    cutOutPaGauge: (c.cutOutPsi + 0.7 * random.normal()) * PSI_PA,
    switchScatterPa: random.between(0.15, 0.45) * PSI_PA,
    contactLagS: 0.05,
    reliefPaGauge: c.reliefPsi * PSI_PA,
    reliefReseatPa: (c.reliefPsi - 10) * PSI_PA,
    reliefGainM3PerSPa: (1.5 * GPM_M3_PER_S) / PSI_PA,
    roomMeanK: 273.15 + (c.roomF - 32) / 1.8,
    roomDailyK: random.between(0.4, 1.8),
    waterK: 273.15 + random.between(9, 14),
  };
}

const SUMMER_LAWN: Irrigation = {
  fromDayOfYear: 130,
  toDayOfYear: 270,
  weekdays: [1, 4],
  startHour: 4.5,
  zones: [8, 11, 9, 12].map((gpm) => ({ gpm, minutes: 20 })),
};

function householdOf(c: SystemCard, random: Random): Household {
  return {
    people: c.people,
    thrift: Math.exp(0.25 * random.normal()),
    softener: random.chance(0.4) ? { everyDays: 4, gpm: 3.2, minutes: 55 } : null,
    irrigation: c.extra === 'irrigation' ? SUMMER_LAWN : null,
    animals: c.extra === 'animals' ? { head: 4, gallonsEach: 12 } : null,
    hoseInSummer: random.chance(0.6),
    guests: [],
    absences: [],
    trace: null,
  };
}

const round = (x: number, step: number) => Math.round(x / step) * step;

function cardFor(letter: string): SystemCard {
  const found = SYSTEMS.find((s) => s.letter === letter);
  if (found !== undefined) return found;
  throw new RangeError(
    `no system ${letter}: expected one of ${SYSTEMS.map((s) => s.letter).join('')}`,
  );
}

/**
 * A system of the catalogue as built for this seed: the truth scatters round the card as makers'
 * work does, and the papers differ from the truth.
 */
export function buildSystem(card: string | SystemCard, seed: number): System {
  const c = typeof card === 'string' ? cardFor(card) : card;
  const random = createRandom(seed, 'system', c.letter);
  const design = plantDesign(c, random);
  return {
    card: c,
    design,
    nameplate: {
      tankGal: c.tankGal,
      prechargePsi: c.cutInPsi - 2 + round(1.2 * random.normal(), 1),
      ratedGpm: c.classGpm,
      staticFt: round(c.staticFt + 4 * random.normal(), 1),
      fullLoadA: Math.round(9.6 * serviceFactorA(c)) / 10,
    },
    household: householdOf(c, random),
    sensing: { pressureNoisePa: c.pressureNoisePsi * PSI_PA },
  };
}
