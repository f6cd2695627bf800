import { describe, expect, it } from 'vitest';
import { type MotorDrive, type MotorState, solveMotor } from './motor.ts';
import { type MotorKind, motorCircuit } from './motor-circuits.ts';

const KINDS: [MotorKind, number][] = [
  ['split-phase', 0.5],
  ['split-phase', 1],
  ['capacitor-start', 0.75],
  ['capacitor-run', 0.5],
  ['capacitor-run', 1.5],
  ['capacitor-run', 3],
];
const drive = (auxiliary: MotorDrive['auxiliary']): MotorDrive => ({
  voltageV: 230,
  supplyOhm: 0.8,
  auxiliary,
  statorHeat: 1,
  rotorHeat: 1,
  runCapacitance: 1,
  startCapacitance: 1,
});
const blank = (): MotorState => ({
  currentA: 0,
  powerW: 0,
  torqueNm: 0,
  windingLossW: 0,
  supplyLossW: 0,
  airGapW: 0,
});

/** The motor on full voltage where it gives this power at its shaft. */
function atShaft(kind: MotorKind, hp: number, shaftHp: number) {
  const circuit = motorCircuit(kind, hp, 230);
  const feed = { ...drive(kind === 'capacitor-run' ? 'run' : 'open'), supplyOhm: 0 };
  const out = blank();
  let slip = 0.001;
  const shaftW = () => out.torqueNm * circuit.synchronousRadPerS * (1 - slip) - circuit.idleLossW;
  do {
    slip += 0.0002;
    solveMotor(circuit, feed, slip, out);
  } while (shaftW() < shaftHp * 745.7);
  return { slip, currentA: out.currentA };
}

describe('the motor', () => {
  it('takes in what it loses and passes over the gap, whatever the winding and slip', () => {
    for (const [kind, hp] of KINDS) {
      const circuit = motorCircuit(kind, hp, 230);
      for (const auxiliary of ['open', 'run', 'start'] as const) {
        for (const slip of [0.01, 0.05, 0.3, 0.8, 1]) {
          const out = blank();
          solveMotor(circuit, drive(auxiliary), slip, out);
          const spent = out.supplyLossW + out.windingLossW + out.airGapW;
          expect(
            Math.abs(spent / out.powerW - 1),
            `${kind} ${hp} ${auxiliary} ${slip}`,
          ).toBeLessThan(1e-11);
        }
      }
    }
  });
  it('has no torque at rest without its second winding, and starts with it', () => {
    for (const [kind, hp] of KINDS) {
      const circuit = motorCircuit(kind, hp, 230);
      const out = blank();
      solveMotor(circuit, drive('open'), 1, out);
      expect(Math.abs(out.torqueNm)).toBeLessThan(1e-9);
      solveMotor(circuit, drive('start'), 1, out);
      const ratedNm = (hp * 745.7) / 353;
      expect(out.torqueNm, `${kind} ${hp}`).toBeGreaterThan(0.7 * ratedNm);
    }
  });
  it('draws on 115 V twice what it draws on 230 V', () => {
    const high = blank();
    const low = blank();
    solveMotor(
      motorCircuit('split-phase', 0.5, 230),
      { ...drive('open'), supplyOhm: 0 },
      0.05,
      high,
    );
    const half = { ...drive('open'), supplyOhm: 0, voltageV: 115 };
    solveMotor(motorCircuit('split-phase', 0.5, 115), half, 0.05, low);
    expect(low.currentA / high.currentA).toBeCloseTo(2, 9);
    expect(low.torqueNm / high.torqueNm).toBeCloseTo(1, 9);
  });
  // Full-load currents of NFPA 70-2017 Table 430.248, 230 V: 1/2 hp 4.9, 3/4 6.9, 1 8.0, 1-1/2 10,
  // 2 12, 3 17 A. A submersible at its nameplate power draws more, up to a third (common practice).
  it.for([
    ['split-phase', 0.5, 4.9],
    ['split-phase', 0.75, 6.9],
    ['split-phase', 1, 8],
    ['capacitor-run', 1.5, 10],
    ['capacitor-run', 2, 12],
    ['capacitor-run', 3, 17],
  ] as const)(
    '%s %s hp draws at nameplate power as NFPA 70 Table 430.248 has it',
    async ([kind, hp, table], { annotate }) => {
      const { slip, currentA } = atShaft(kind, hp, hp);
      await annotate(`${(currentA / table).toFixed(2)} of the table`);
      expect(slip).toBeLessThan(0.065);
      expect(currentA / table).toBeGreaterThan(0.75);
      expect(currentA / table).toBeLessThan(1.33);
    },
  );
  // Generic motors at the shaft power of rated flow and stalled, 230 V, with a stalled current of
  // three to six times the running one (common practice, from memory).
  it.for([
    ['split-phase', 0.5, 0.75, 5.86, 32],
    ['split-phase', 0.75, 1.07, 7.83, 41],
    ['split-phase', 1, 1.33, 9.59, 49],
    ['capacitor-run', 1.5, 1.85, 11.16, 45],
    ['capacitor-run', 2, 2.38, 12.74, 52],
    ['capacitor-run', 3, 3.28, 16.32, 83],
  ] as const)(
    '%s %s hp runs and stalls at the amps of its kind',
    async ([kind, hp, shaftHp, runs, stalls], { annotate }) => {
      const running = atShaft(kind, hp, shaftHp).currentA;
      const out = blank();
      solveMotor(motorCircuit(kind, hp, 230), { ...drive('start'), supplyOhm: 0 }, 1, out);
      const stalled = out.currentA;
      await annotate(
        `${(running / runs).toFixed(3)} running, ${(stalled / stalls).toFixed(2)} stalled`,
      );
      expect(Math.abs(running / runs - 1)).toBeLessThan(0.02);
      expect(Math.abs(stalled / stalls - 1)).toBeLessThan(0.17);
      expect(stalled / running).toBeGreaterThan(3);
      expect(stalled / running).toBeLessThan(6);
    },
  );
});
