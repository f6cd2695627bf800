import type { MotorKind } from './plant/motor-circuits.ts';

/** One system in trade units, as its papers call it. */
export interface SystemCard {
  letter: string;
  hp: number;
  classGpm: number;
  motor: MotorKind;
  volts: number;
  altitudeFt: number;
  casingIn: number;
  staticFt: number;
  intakeFt: number;
  specificCapacityGpmPerFt: number;
  tankGal: number;
  cutInPsi: number;
  cutOutPsi: number;
  /** Pressure between tee and tank at rated flow. */
  teePsi: number;
  /** Time constant of the gas against the wall, about. */
  gasS: number;
  pressureNoisePsi: number;
  pipeIn: number;
  awg: number;
  cableFt: number;
  reliefPsi: number;
  roomF: number;
  people: number;
  /** What the house has beside people. */
  extra: string;
  /** Head at no flow where a maker's curve tells it. */
  shutOffFt?: number;
}

/** Pump (hp, class in gpm, motor, V) and well (altitude, casing, static level, intake, gpm/ft). */
const PUMP_AND_WELL = `
  hp   gpm motor           V    alt  cas stat int SC
A 0.5  10  split-phase     115  0    4   15   80  4
B 0.75 10  split-phase     230  900  6   70   180 1.2
C 1    7   capacitor-start 230  3100 6   140  300 0.6
D 1.5  10  capacitor-run   230  5500 6   180  340 0.5
E 0.5  5   capacitor-run   230  7000 6   110  240 0.15
F 2    20  capacitor-run   230  300  8   110  210 8
G 3    20  capacitor-run   230  1800 8   200  330 2.5
H 1    10  capacitor-run   230  2200 4   90   200 0.9
I 1    5   split-phase     230  1200 6   250  420 0.08
J 0.75 7   capacitor-start 230  4200 6   45   160 0.35
K 1.5  20  capacitor-run   230  650  6   60   150 12
L 0.5  7   split-phase     230  2800 6   30   120 0.25
`;

/**
 * Tank (gal, cut-in, cut-out, tee friction in psi, gas time constant in s, pressure noise in
 * psi), pipe (in), cable (AWG, ft), relief (psi), room (degF), people and what else draws.
 */
const HOUSE = `
  gal in out tee  gas noise pipe awg len rel room people else
A 20  20 40  0.4  28  0.10  1.05 10  120 75  58 2 -
B 44  40 60  1    45  0.06  1.05 12  240 75  62 3 -
C 32  30 50  0.3  36  0.12  1.05 12  360 75  55 2 -
D 86  40 60  0.8  62  0.04  1.05 10  400 100 64 4 -
E 20  30 50  0.2  24  0.08  1.05 14  280 75  52 2 -
F 119 50 70  3    70  0.15  1.61 10  260 100 68 5 irrigation
G 120 40 60  1.8  55  0.05  1.38 8   420 75  60 4 animals
H 62  40 60  0.6  50  0.03  1.05 12  260 75  66 3 -
I 36  30 50  0.1  32  0.02  1.05 12  470 75  57 2 -
J 81  30 50  0.5  75  0.09  1.05 12  210 75  50 4 -
K 44  50 70  2.2  40  0.07  1.38 12  200 100 63 3 irrigation
L 52  40 60  0    58  0.05  1.05 14  160 75  59 1 -
`;

function cardOf(line: string, houseLine: string): SystemCard {
  const cells = line.trim().split(/\s+/);
  const house = houseLine.trim().split(/\s+/);
  const n = (i: number) => Number(cells[i]);
  const h = (i: number) => Number(house[i]);
  return {
    letter: cells[0]!,
    hp: n(1),
    classGpm: n(2),
    motor: cells[3] as MotorKind,
    volts: n(4),
    altitudeFt: n(5),
    casingIn: n(6),
    staticFt: n(7),
    intakeFt: n(8),
    specificCapacityGpmPerFt: n(9),
    tankGal: h(1),
    cutInPsi: h(2),
    cutOutPsi: h(3),
    teePsi: h(4),
    gasS: h(5),
    pressureNoisePsi: h(6),
    pipeIn: h(7),
    awg: h(8),
    cableFt: h(9),
    reliefPsi: h(10),
    roomF: h(11),
    people: h(12),
    extra: house[13]!,
  };
}

const rows = (table: string) => table.trim().split('\n').slice(1);

/** Twelve systems unlike each other, over the range that houses have. */
export const SYSTEMS: readonly SystemCard[] = rows(PUMP_AND_WELL).map((line, i) =>
  cardOf(line, rows(HOUSE)[i]!),
);
