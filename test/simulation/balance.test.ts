import { describe, expect, it } from 'vitest';
import { buildSystem } from '../../src/simulation/build-system.ts';
import { SYSTEMS } from '../../src/simulation/catalogue.ts';
import { DAY_S, WATER_PA_PER_M } from '../../src/simulation/constants.ts';
import { FAULT_MODELS, type RehearsedFault } from '../../src/simulation/faults/faults.ts';
import type { Plant } from '../../src/simulation/plant/plant.ts';
import { rehearse } from '../../src/simulation/rehearse.ts';
import { plain } from './scenarios.ts';

const START_S = Date.UTC(2026, 5, 1) / 1000;

/** Water held by tank, elastic pipes and a drained drop pipe, m3. */
function held(plant: Plant): number {
  const elastic = plant.design.pipeElasticityM3PerPa * plant.tee.pressurePa;
  return plant.tee.waterM3 + elastic - plant.riser.airM3;
}

/** A run of some hours; before and after of what the books must explain. */
function lived(letter: string, faults: RehearsedFault[], days: number) {
  const system = buildSystem(letter, 5);
  const rehearsal = rehearse({
    ...plain(system, 5),
    startS: START_S,
    days,
    faults: faults.map((name) => ({ name, onsetDay: 0.1, growthDays: 0 })),
  });
  const { plant } = rehearsal;
  const from = { water: held(plant), casing: plant.well.casingM, gasKg: plant.tee.tank.gasKg };
  let rows = 0;
  rehearsal.run((row) => {
    rows++;
    if (!Number.isFinite(row.pressurePaGauge) || !Number.isFinite(row.currentA)) {
      throw new Error(`not finite at ${row.timeS}`);
    }
  });
  return { plant, from, rows };
}

function expectWater(plant: Plant, from: { water: number; casing: number }): void {
  const { pumpedM3, usedM3, leakedM3, ranBackM3, inflowM3 } = plant.books;
  const gained = held(plant) - from.water;
  const moved = Math.max(pumpedM3, usedM3, 0.01);
  expect(Math.abs(pumpedM3 - usedM3 - leakedM3 - ranBackM3 - gained) / moved).toBeLessThan(1e-9);
  const casing = plant.design.aquifer.casingAreaM2 * (plant.well.casingM - from.casing);
  expect(Math.abs(pumpedM3 - ranBackM3 - inflowM3 - casing) / moved).toBeLessThan(1e-9);
}

describe('water and energy', () => {
  it.each(SYSTEMS.map((s) => s.letter))('are neither made nor lost in system %s', (letter) => {
    const { plant, from, rows } = lived(letter, [], 2);
    expect(rows).toBeGreaterThan(30_000);
    expect(plant.books.usedM3).toBeGreaterThan(0.02);
    expectWater(plant, from);
    expect(plant.tee.tank.gasKg).toBe(from.gasKg);
    const { electricJ, shaftJ, pumpedM3 } = plant.books;
    expect(shaftJ).toBeLessThan(0.85 * electricJ);
    // No pump lifts water for less than its weight times the height.
    const lowestM = plant.staticM + plant.design.cutInPaGauge / WATER_PA_PER_M - 3;
    expect(electricJ / pumpedM3).toBeGreaterThan(2 * WATER_PA_PER_M * lowestM);
  });
  it.each(Object.keys(FAULT_MODELS) as RehearsedFault[])('nor with %s', (fault) => {
    const { plant, from } = lived('B', [fault], 0.5);
    expectWater(plant, from);
  });
  it('nor with several at once', () => {
    const together: RehearsedFault[] = [
      'check-valve-leak',
      'leak-house',
      'pump-worn',
      'precharge-low',
      'gas-in-water',
      'switch-chatter',
    ];
    const { plant, from } = lived('J', together, 1);
    expectWater(plant, from);
  });
  it('of the gas are kept over a day', () => {
    const rehearsal = rehearse({ ...plain(buildSystem('D', 3), 3), startS: START_S, days: 1 });
    const { plant } = rehearsal;
    const energy = () => plant.tee.tank.gasKg * 717.8 * plant.tee.tank.gasK;
    const wall = () => plant.design.tankHeat.wallJPerK * plant.tee.tank.wallK;
    const before = { gas: energy(), wall: wall() };
    rehearsal.run(() => {});
    const { gasWorkJ, gasToWallJ, wallToRoomJ } = plant.books;
    expect(plant.timeS - START_S).toBeCloseTo(DAY_S, 3);
    expect(Math.abs(energy() - before.gas + gasWorkJ + gasToWallJ) / before.gas).toBeLessThan(
      1e-10,
    );
    expect(Math.abs(wall() - before.wall - gasToWallJ + wallToRoomJ) / before.wall).toBeLessThan(
      1e-10,
    );
  });
});
