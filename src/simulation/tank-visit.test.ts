import { describe, expect, it } from 'vitest';
import { buildSystem } from './build-system.ts';
import { PSI_PA } from './constants.ts';
import { rehearse } from './rehearse.ts';
import { NO_TROUBLES } from './sensing/delivery.ts';
import { usualReporting } from './sensing/reporting.ts';

describe('a visit to the tank', () => {
  it('drains it with the pump off, and gives it its air and water back', () => {
    const rehearsal = rehearse({
      system: buildSystem('J', 1),
      timeZone: 'UTC',
      startS: Date.UTC(2026, 3, 6) / 1000,
      days: 3,
      seed: 1,
      faults: [{ name: 'precharge-low', onsetDay: 0, growthDays: 0, mendedDay: 1.5 }],
      reporting: usualReporting('fixed', 5),
      troubles: NO_TROUBLES,
      sensing: {},
      bucketDays: [],
    });
    const { plant } = rehearsal;
    const mendedS = plant.timeS + 1.5 * 86_400;
    let lowestPsi = Number.POSITIVE_INFINITY;
    let ranMeanwhile = false;
    const air: number[] = [];
    rehearsal.run((row) => {
      if (row.timeS < mendedS - 10) air[0] = plant.tee.tank.gasKg / plant.tee.chargedKg;
      if (row.timeS > mendedS - 2900 && row.timeS < mendedS) {
        ranMeanwhile ||= plant.running;
        lowestPsi = Math.min(lowestPsi, plant.tee.pressurePa / PSI_PA);
      }
    });
    air[1] = plant.tee.tank.gasKg / plant.tee.chargedKg;
    expect(air[0]).toBeCloseTo(0.65, 2);
    expect(air[1]).toBe(1);
    expect(ranMeanwhile).toBe(false);
    expect(lowestPsi).toBeLessThan(1);
    expect(plant.tee.pressurePa).toBeGreaterThan(plant.design.cutInPaGauge - 2 * PSI_PA);
  });
});
