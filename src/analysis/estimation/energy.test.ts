import { describe, expect, it } from 'vitest';
import { wellOf } from '../../../test/support/rehearsed-log.ts';
import { dayAt } from './days.ts';
import { powerAt, powerModel } from './energy.ts';
import { dayEnergyFloor } from './energy-floor.ts';
import { knownOf } from './state.ts';

const power = (pump: string) => powerModel(wellOf(`name = "x"\n[pump]\n${pump}\n`).equipment);

describe('power from amps', () => {
  // From memory, generic 230 V two- and three-wire submersible motors at service-factor load:
  // 1/2 hp 960 W at about 6.0 A, 3/4 hp 1310 W at about 8.0 A, 1 hp 1600 W at about 9.8 A.
  it.each([
    ['0.5 hp', '6.0 A', 6.0, 960],
    ['0.75 hp', '8.0 A', 8.0, 1310],
    ['1 hp', '9.8 A', 9.8, 1600],
  ])('of a %s motor at full load is that of its class', (hp, atMost, amps, watts) => {
    const model = power(
      `power = "${hp}"\nvoltage = "230 V"\nmotor = "2-wire"\nservice_factor_current = "${atMost}"`,
    );
    expect(Math.abs(powerAt(model, amps, NaN) / watts - 1)).toBeLessThan(2 * model.relStd);
  });

  it('rises with amps, faster than amps do, and is never above volts times amps', () => {
    const model = power('power = "1 hp"\nvoltage = "230 V"\nservice_factor_current = "9.8 A"');
    let before = 0;
    for (let amps = 7.4; amps <= 10; amps += 0.2) {
      const watts = powerAt(model, amps, NaN);
      expect(watts).toBeGreaterThan(before);
      expect(watts).toBeLessThan(230 * amps);
      before = watts;
    }
    const share = powerAt(model, 8.5, NaN) / powerAt(model, 9.8, NaN);
    expect(share).toBeLessThan(8.5 / 9.8);
  });

  it('takes a measured voltage where there is one', () => {
    const model = power('power = "0.75 hp"\nvoltage = "230 V"');
    expect(powerAt(model, 8, 207) / powerAt(model, 8, 230)).toBeCloseTo(0.9, 6);
  });

  it('of three lines is the root of three times that of one', () => {
    const one = power('power = "3 hp"\nvoltage = "230 V"\nphases = 1');
    const three = power('power = "3 hp"\nvoltage = "230 V"\nphases = 3');
    expect(powerAt(three, 10, NaN) / powerAt(one, 10, NaN)).toBeCloseTo(Math.sqrt(3), 9);
  });

  it('is less sure the less is known', () => {
    expect(power('power = "1 hp"').relStd).toBeGreaterThan(
      power('voltage = "230 V"\nservice_factor_current = "9.8 A"').relStd,
    );
    expect(powerAt(power(''), 8, NaN)).toBeGreaterThan(0);
    expect(powerAt(power(''), 0, NaN)).toBe(0);
  });
});

describe('the least energy of a day', () => {
  // 0.003143 kWh per 1000 gallons and foot of head; 250 ft are 0.79 kWh/kgal; 0.00726 per psi
  // (rho g H worked out, as handbooks print it; from memory).
  const KWH_PER_KGAL = 3.6e6 / 3.785411784;
  const known = knownOf(wellOf('name = "x"\n[well]\nstatic_level = "100 ft"\n'), 0);
  const day = (gaugePa: number) => ({
    ...dayAt('UTC', 1.7755e9, 0),
    pressureSum: 3600 * gaugePa,
    pressureS: 3600,
  });

  it('is that of its lift', () => {
    const floor = dayEnergyFloor(day(0), known, 250 * 0.3048) / KWH_PER_KGAL;
    expect(floor).toBeCloseTo(0.79, 2);
    expect(Math.abs(floor / (0.003143 * 250) - 1)).toBeLessThan(0.001);
  });

  it('and of the pressure it is pumped against', () => {
    const floor = dayEnergyFloor(day(50 * 6894.757), known, 0) / KWH_PER_KGAL;
    expect(Math.abs(floor / (0.00726 * 50) - 1)).toBeLessThan(0.002);
  });

  it('is more with a pipe, and not told for a day hardly pumped on', () => {
    const { equipment } = wellOf(
      `name = "x"
[pump]
rated_flow = "10 gpm"
[pipe]
inside_diameter = "1.049 in"
length = "150 ft"
`,
    );
    const piped = { ...known, equipment, nominal: { ...known.nominal, flowM3PerS: 6.309e-4 } };
    const bare = dayEnergyFloor(day(3e5), known, 60);
    // Illinois Administrative Code 77, part 906, appendix A, exhibit I: 10 gpm in 1-inch plastic
    // pipe lose 5.50 ft in 100 ft at C 150; the study takes C 140. The table holds to 3 %.
    const published = 1.5 * 5.5 * (150 / 140) ** 1.852;
    const feet = (dayEnergyFloor(day(3e5), piped, 60) - bare) / KWH_PER_KGAL / 0.003143;
    expect(Math.abs(feet / published - 1)).toBeLessThan(0.03);
    expect(dayEnergyFloor({ ...day(3e5), pressureS: 9 }, known, 60)).toBeNaN();
  });
});
