import { describe, expect, it } from 'vitest';
import { SHOWS_FROM } from '../../exam/shows-from.ts';
import type { FaultName } from '../../model/faults.ts';
import { KNOWABLE } from '../../model/knowable.ts';
import { buildSystem } from '../../simulation/build-system.ts';
import { GALLON_M3, GPM_M3_PER_S } from '../../simulation/constants.ts';
import { type Condition, sound } from '../../simulation/faults/condition.ts';
import { applyFaults, type RehearsedFault } from '../../simulation/faults/faults.ts';
import { PSI_PA } from '../../units/table.ts';

const { design } = buildSystem('D', 1);

/** The plant with a fault at the share of it from which it shows. */
function at(name: RehearsedFault, form?: string, hour = 5): Condition {
  const condition = sound();
  const severity = SHOWS_FROM[name]!;
  applyFaults(condition, [{ name, onsetDay: 0, growthDays: 0, severity, ...(form && { form }) }], {
    design,
    startS: 0,
    timeS: hour * 3600,
  });
  return condition;
}

const precharge = (c: Condition) =>
  (design.prechargePaGauge + design.atmospherePa) * c.gasShare - design.atmospherePa;
const heavyHours = () =>
  Array.from({ length: 240 }, (_, k) => at('heavy-use', undefined, k / 10)).filter(
    ({ steadyUseM3PerS }) => steadyUseM3PerS > 0,
  ).length / 10;

/** What the words of the table come to, and what the plant has at that share. */
const SIZES: Partial<Record<FaultName, [words: string, want: number, has: () => number][]>> = {
  'tank-waterlogged': [['half the tank', 0.5, () => at('tank-waterlogged').gasShare]],
  'precharge-high': [
    ['3.5 psi above', 3.5, () => (precharge(at('precharge-high')) - design.cutInPaGauge) / PSI_PA],
  ],
  'tank-undersized': [['half as much', 1.5, () => at('tank-undersized').pumpScale]],
  'leak-house': [
    ['0.075 gpm', 0.075, () => at('leak-house').houseLeak.flowAt50PsiM3PerS / GPM_M3_PER_S],
  ],
  'fixture-running': [
    ['0.15 gpm', 0.15, () => at('fixture-running', 'seep').seepM3PerS / GPM_M3_PER_S],
    ['half hour', 1800, () => at('fixture-running').refillEveryS],
    ['refill', 0.5, () => at('fixture-running').refillM3 / GALLON_M3],
  ],
  'heavy-use': [['three hours', 3, heavyHours]],
  'gas-in-water': [['6 %', 0.06, () => at('gas-in-water').gasInWater]],
  'pump-dragging': [['an eighth', 0.125, () => at('pump-dragging').dragShare]],
  'run-capacitor-weak': [['three tenths', 0.3, () => 1 - at('run-capacitor-weak').runCapacitance]],
  'filter-plugged': [['a third', 1 / 3, () => 1 - at('filter-plugged').filterShare]],
  'pressure-supply-sag': [['3 %', 0.03, () => at('pressure-supply-sag').supplySagShare]],
  // What the port had before is a twentieth of a second.
  'pressure-port-plugged': [['20 s', 20.05, () => at('pressure-port-plugged').portLagS]],
  'sampling-too-slow': [['30 s', 30, () => at('sampling-too-slow').slowS]],
};

describe('the size from which a fault shows', () => {
  it('is in the exam what the table says of it', () => {
    for (const [fault, sizes] of Object.entries(SIZES))
      for (const [words, want, has] of sizes) {
        expect(KNOWABLE[fault as RehearsedFault].from, fault).toContain(words);
        expect(Math.abs(has() / want - 1), `${fault}: ${has()}`).toBeLessThan(0.015);
      }
  });
  it('of a joint is the mean of what it takes of the voltage at the service factor', () => {
    expect(KNOWABLE['joint-hot'].from).toContain('3 %');
    const ohms = Array.from({ length: 500 }, (_, k) => at('joint-hot', undefined, k / 37).jointOhm);
    const mean = ohms.reduce((sum, ohm) => sum + ohm, 0) / ohms.length;
    expect((mean * design.serviceFactorA) / design.lineV).toBeCloseTo(0.03, 2);
  });
  it('stands in the table for each fault that has one, and else for lost delivery alone', () => {
    const sized = Object.entries(KNOWABLE).filter(([, { from }]) => from !== undefined);
    const others = sized.filter(([, { from }]) => from !== 'a tenth less delivery');
    expect(others.map(([name]) => name).toSorted()).toEqual(Object.keys(SHOWS_FROM).toSorted());
    expect(Object.keys(SHOWS_FROM).toSorted()).toEqual(
      [...Object.keys(SIZES), 'joint-hot'].toSorted(),
    );
    expect(sized.length - others.length).toBe(6);
  });
});
