import { describe, expect, it } from 'vitest';
import { wellOf } from '../../../test/support/rehearsed-log.ts';
import { HORSEPOWER_W, PSI_PA } from '../../units/table.ts';
import { createEstimation, knownOf } from '../estimation/state.ts';
import { expectedOf, nameplateOf } from './expected.ts';
import { MEASURE, MEASURES } from './measures.ts';

function expectedBy(text: string, runningA = 8) {
  const well = wellOf(`name = "x"\n${text}`);
  const known = knownOf(well, 0);
  const nameplate = nameplateOf(createEstimation(well).delivery.anchor, known);
  return { nameplate, known, by: expectedOf(known.equipment, nameplate, runningA) };
}

const SWITCH = '[switch]\ncut_in = "40 psi"\ncut_out = "60 psi"\n';
const TANK = '[tank]\nvolume = "44 gal"\nprecharge = "38 psi"\n';
const WELL =
  '[well]\nstatic_level = "95 ft"\n[pipe]\ninside_diameter = "1.05 in"\nlength = "150 ft"\n';
const PUMP =
  '[pump]\npower = "0.75 hp"\nvoltage = "230 V"\nmotor = "2-wire"\nrated_flow = "10 gpm"\n';

describe('what should be', () => {
  it('is left out where the well file does not say, never guessed from nothing', () => {
    const { by } = expectedBy('', NaN);
    for (const m of ['cut-in', 'cut-out', 'delivery', 'run-length', 'amps', 'mains', 'jitter'])
      expect(by).not.toHaveProperty(m);
    expect(expectedBy(PUMP).by).not.toHaveProperty('delivery');
    expect(expectedBy(TANK).by).not.toHaveProperty('delivery');
  });

  it('is finite, with doubt no less than that of what a well teaches itself', () => {
    const { by } = expectedBy(SWITCH + TANK + WELL + PUMP);
    for (const m of MEASURES) {
      const one = by[m];
      if (one === undefined) continue;
      expect(Number.isFinite(one.value)).toBe(true);
      expect(one.std).toBeGreaterThan(MEASURE[m].floor);
    }
    expect(Object.keys(by).length).toBeGreaterThan(14);
  });

  it('of the switch is its setting, within 2 psi of a new one and 1 psi of the sensor', () => {
    // Common practice: a new switch is set within 2 psi.
    const { by } = expectedBy(SWITCH);
    expect(by['cut-in']!.value).toBeCloseTo(40 * PSI_PA, 3);
    expect(by['cut-out']!.std).toBeCloseTo(Math.hypot(2, 1) * PSI_PA, 3);
  });

  it('of a run is the time in which the rated pump fills the tank', () => {
    // Common practice, by Boyle's law at sea level: 44 gal between 40 and 60 psi hold 11.3 gal, a
    // 3/4 hp pump of 10 gpm delivers 11.0 gpm at 50 psi over a lift of 100 ft.
    const { by } = expectedBy(SWITCH + TANK + WELL + PUMP);
    const seconds = Math.exp(by['run-length']!.value);
    expect(seconds).toBeGreaterThan((60 * 11.3) / 11 / 1.1);
    expect(seconds).toBeLessThan(((60 * 11.3) / 11) * 1.1);
  });

  it('of delivery is in doubt by pump and tank together', () => {
    const { by, known } = expectedBy(SWITCH + TANK + WELL + PUMP);
    expect(by.delivery!.std).toBeCloseTo(Math.hypot(0.15, known.nameplateRelStd), 2);
    const guessed = TANK.replace('"38 psi"', '{ value = "38 psi", source = "guess" }');
    expect(expectedBy(SWITCH + guessed + WELL + PUMP).by.delivery!.std).toBeGreaterThan(
      by.delivery!.std,
    );
  });

  it('of mains holds every voltage that a supply may have, and not a fifth less', () => {
    // ANSI C84.1, service voltage of 240 V within 5 % (from memory); the plate says 230 V.
    const { value, std } = expectedBy(PUMP).by.mains!;
    for (const volts of [228, 240, 252])
      expect(Math.abs(Math.log(volts) - value)).toBeLessThan(2.1 * std);
    expect(Math.abs(Math.log(0.8 * 230) - value)).toBeGreaterThan(4 * std);
  });

  it('of amps is the plate, in the unit that amps are kept in', () => {
    const { known, by } = expectedBy(PUMP);
    expect(known.equipment.powerW!.value).toBeCloseTo(0.75 * HORSEPOWER_W, 6);
    // From memory: such a motor takes 7.83 A at rated flow.
    expect(Math.abs(by.amps!.value - Math.log(7.83))).toBeLessThan(by.amps!.std);
  });
});
