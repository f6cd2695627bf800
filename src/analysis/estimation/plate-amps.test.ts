import { describe, expect, it } from 'vitest';
import { wellOf } from '../../../test/support/rehearsed-log.ts';
import { plateAmps } from './plate-amps.ts';

const plate = (...lines: string[]) =>
  plateAmps(wellOf(`name = "x"\n[pump]\n${lines.join('\n')}\n`).equipment);

// From memory, generic 230 V motors: amps at rated flow, amps of the plate at the service factor,
// amps of the plate at rated power.
const MOTORS: [hp: number, motor: string, workA: number, serviceA: number, fullA: number][] = [
  [0.5, '2-wire', 5.86, 6, 5],
  [0.75, '2-wire', 7.83, 8, 6.8],
  [1, '2-wire', 9.59, 9.8, 8.2],
  [1.5, '3-wire capacitor-run', 11.16, 11.5, 10],
  [2, '3-wire capacitor-run', 12.74, 13.2, 10.9],
  [3, '3-wire capacitor-run', 16.32, 17, 14.6],
];

describe('amps by the plate of the motor', () => {
  it.each(MOTORS)('of %s hp, %s, hold those at work', (hp, motor, workA, serviceA, fullA) => {
    const kind = [`power = "${hp} hp"`, `voltage = "230 V"`, `motor = "${motor}"`];
    for (const lines of [
      [`service_factor_current = "${serviceA} A"`],
      [`full_load_current = "${fullA} A"`],
      kind,
    ]) {
      const { currentA, relStd } = plate(...lines);
      expect(Math.abs(Math.log(workA / currentA))).toBeLessThan(1.5 * relStd);
    }
  });

  it('are surest from those at the service factor, and least where the motor is any', () => {
    const service = plate('service_factor_current = "9.8 A"', 'full_load_current = "8.2 A"');
    const full = plate('full_load_current = "8.2 A"');
    const power = plate('power = "1 hp"', 'voltage = "230 V"', 'motor = "2-wire"');
    const any = plate('power = "1 hp"', 'voltage = "230 V"');
    const order = [service, full, power, any].map(({ relStd }) => relStd);
    expect(order).toEqual(order.toSorted((a, b) => a - b));
    // With a run capacitor a small motor takes a quarter less (from memory): still within it.
    expect(Math.abs(Math.log((0.72 * 9.59) / any.currentA))).toBeLessThan(2 * any.relStd);
  });

  it('double at half the voltage, and are not known of three phases or without a plate', () => {
    const of = (volts: number) => plate('power = "0.5 hp"', `voltage = "${volts} V"`).currentA;
    expect(of(115) / of(230)).toBeCloseTo(2, 9);
    expect(plate('power = "3 hp"', 'voltage = "230 V"', 'phases = 3').currentA).toBeNaN();
    expect(plate('power = "1 hp"').currentA).toBeNaN();
    expect(plate('voltage = "230 V"').currentA).toBeNaN();
  });
});
