import type { MotorCircuit } from './motor.ts';

/** How the motor is started and run. */
export type MotorKind = 'split-phase' | 'capacitor-start' | 'capacitor-run';

const TWO_POLE_60_HZ_RAD_PER_S = 2 * Math.PI * 60;

interface Row {
  powerHp: number;
  main: [ohm: number, reactance: number];
  rotorOhm: number;
  magnetisingOhm: number;
  idleLossW: number;
}

/**
 * Circuits at 230 V, 60 Hz, found by least squares from input watts and amps of generic motors
 * at no load, at shut-off and at 0.5 to 1.25 of rated flow (common practice, from memory). The
 * three of 1.5 hp and more with a run capacitor are fitted to stalled amps and slip as well, and
 * take 10 to 14 % less watts for it. `motor.test.ts` holds what they keep to.
 */
const MAIN_ONLY: Row[] = [
  { powerHp: 0.5, main: [3.442, 4.937], rotorOhm: 5.564, magnetisingOhm: 88.72, idleLossW: 82.8 },
  { powerHp: 0.75, main: [2.069, 3.682], rotorOhm: 4.826, magnetisingOhm: 68.78, idleLossW: 72.5 },
  { powerHp: 1, main: [1.717, 3.009], rotorOhm: 3.75, magnetisingOhm: 55.95, idleLossW: 79.8 },
];

const RUN_CAPACITOR: (Row & { capacitorOhm: number })[] = [
  {
    powerHp: 0.5,
    main: [4.05, 4.124],
    rotorOhm: 5.669,
    magnetisingOhm: 144.0,
    idleLossW: 119,
    capacitorOhm: 327.5,
  },
  {
    powerHp: 0.75,
    main: [3.037, 3.093],
    rotorOhm: 4.252,
    magnetisingOhm: 108.0,
    idleLossW: 158,
    capacitorOhm: 245.6,
  },
  {
    powerHp: 1,
    main: [2.411, 2.455],
    rotorOhm: 3.374,
    magnetisingOhm: 85.74,
    idleLossW: 200,
    capacitorOhm: 194.9,
  },
  {
    powerHp: 1.5,
    main: [0.9863, 3.057],
    rotorOhm: 1.768,
    magnetisingOhm: 44.48,
    idleLossW: 166.1,
    capacitorOhm: 195,
  },
  {
    powerHp: 2,
    main: [0.8335, 2.561],
    rotorOhm: 1.517,
    magnetisingOhm: 42.25,
    idleLossW: 187.4,
    capacitorOhm: 132.1,
  },
  {
    powerHp: 3,
    main: [0.6005, 2.176],
    rotorOhm: 1.136,
    magnetisingOhm: 33.98,
    idleLossW: 224.7,
    capacitorOhm: 77.16,
  },
];

function winding(kind: MotorKind, row: Row): Partial<MotorCircuit> {
  const [ohm, reactance] = row.main;
  if (kind === 'split-phase') {
    // A thin auxiliary of few turns: its resistance alone turns the current early.
    return { turnsRatio: 0.9, auxiliaryOhm: 2.4 * ohm, auxiliaryReactanceOhm: 0.55 * reactance };
  }
  if (kind === 'capacitor-start') {
    return { turnsRatio: 1.25, auxiliaryOhm: 1.8 * ohm, auxiliaryReactanceOhm: 1.5 * reactance };
  }
  return { turnsRatio: 0.9, auxiliaryOhm: 0.81 * ohm, auxiliaryReactanceOhm: 0.81 * reactance };
}

/** The circuit of a motor of this rating, wound for 230 V or for 115 V. */
export function motorCircuit(kind: MotorKind, powerHp: number, voltageV: number): MotorCircuit {
  const rows: Row[] = kind === 'capacitor-run' ? RUN_CAPACITOR : MAIN_ONLY;
  const apart = (r: Row) => Math.abs(Math.log(r.powerHp / powerHp));
  const row = rows.reduce((best, r) => (apart(r) < apart(best) ? r : best));
  // Another rating is the nearest circuit with its impedances scaled, as the voltage scales them.
  const low = voltageV < 150;
  const z = (low ? 0.25 : 1) * (row.powerHp / powerHp);
  const run = 'capacitorOhm' in row ? (row.capacitorOhm as number) : Number.POSITIVE_INFINITY;
  const aux = winding(kind, row);
  return {
    mainOhm: z * row.main[0],
    mainReactanceOhm: z * row.main[1],
    rotorOhm: z * row.rotorOhm,
    rotorReactanceOhm: z * row.main[1],
    magnetisingOhm: z * row.magnetisingOhm,
    turnsRatio: aux.turnsRatio!,
    auxiliaryOhm: z * aux.auxiliaryOhm!,
    auxiliaryReactanceOhm: z * aux.auxiliaryReactanceOhm!,
    idleLossW: row.idleLossW * (powerHp / row.powerHp),
    runCapacitorOhm: z * run,
    startCapacitorOhm:
      kind === 'split-phase'
        ? 0
        : z * (kind === 'capacitor-run' ? 3.4 : 3.2) * (row.main[0] + row.rotorOhm),
    nominalV: low ? 115 : 230,
    // Magnetising current grows faster than the voltage in motors built small.
    saturation: kind === 'capacitor-run' ? 0.3 : 0.65,
    synchronousRadPerS: TWO_POLE_60_HZ_RAD_PER_S,
  };
}
