import { describe, expect, it } from 'vitest';
import { type Keys, resultOf, WHOLE, wellOfKeys } from '../../../test/support/wells.ts';
import { ACT_CAUTIONS, type CautionId } from '../../model/cautions.ts';
import { checkInstallation } from './check-installation.ts';

interface Sides {
  id: string;
  /** Just within the limit, and just beyond it. */
  within: Keys;
  beyond: Keys;
  /** A caution that must stand beside what beyond asks for. */
  caution: CautionId | null;
}

const NO_FULL_LOAD = { 'pump.full_load_current': null };
const JET = {
  'pump.kind': 'jet',
  'pump.curve': '[["0 gpm", "150 ft"], ["6 gpm", "120 ft"], ["12 gpm", "60 ft"]]',
  'pump.intake_depth': '60 ft',
  'pipe.length': '30 ft',
  'switch.cut_in': '20 psi',
  'switch.cut_out': '40 psi',
  'tank.precharge': '18 psi',
};

/** Every limit from both sides; the figures are what a box lid gives. */
const SIDES: Sides[] = [
  {
    id: 'pipe-speed',
    within: { 'pipe.inside_diameter': '0.95 in' },
    beyond: { 'pipe.inside_diameter': '0.85 in' },
    caution: 'disinfect-and-sample',
  },
  {
    id: 'shut-off-pressure',
    within: { 'tank.rated_pressure': '115 psi' },
    beyond: { 'tank.rated_pressure': '100 psi' },
    caution: 'never-plug-relief',
  },
  {
    id: 'cut-out-reach',
    within: { 'switch.cut_out': '99 psi', 'relief.opens': '120 psi' },
    beyond: { 'switch.cut_out': '99.5 psi', 'relief.opens': '120 psi' },
    caution: 'mains-by-electrician',
  },
  {
    id: 'water-over-intake',
    within: { 'pump.intake_depth': '121 ft' },
    beyond: { 'pump.intake_depth': '119 ft' },
    caution: 'stay-out-of-pits',
  },
  {
    id: 'suction-head',
    within: { ...JET, 'well.static_level': '20 ft' },
    beyond: { ...JET, 'well.static_level': '25.5 ft' },
    caution: 'disinfect-and-sample',
  },
  {
    id: 'air-charge',
    within: { 'tank.precharge': '36.1 psi' },
    beyond: { 'tank.precharge': '35.9 psi' },
    caution: 'tank-drained-power-off',
  },
  {
    id: 'air-charge',
    within: { 'tank.precharge': '39.9 psi' },
    beyond: { 'tank.precharge': '40.1 psi' },
    caution: 'tank-rating',
  },
  {
    id: 'run-time',
    within: { 'tank.volume': '44 gal' },
    beyond: { 'tank.volume': '40 gal' },
    caution: 'tank-drained-power-off',
  },
  {
    id: 'run-time',
    within: { 'pump.power': '1 hp', 'tank.volume': '119 gal' },
    beyond: { 'pump.power': '1 hp', 'tank.volume': '86 gal' },
    caution: 'tank-drained-power-off',
  },
  {
    id: 'starts-per-hour',
    within: { 'tank.volume': '44 gal' },
    beyond: { 'tank.volume': '40 gal' },
    caution: 'tank-rating',
  },
  {
    id: 'starts-per-hour',
    within: { 'pump.power': '1 hp', 'tank.volume': '119 gal' },
    beyond: { 'pump.power': '1 hp', 'tank.volume': '86 gal' },
    caution: 'tank-rating',
  },
  {
    id: 'starts-per-hour-motor',
    within: { 'pump.power': '1 hp', 'tank.volume': '50 gal' },
    beyond: { 'pump.power': '1 hp', 'tank.volume': '44 gal' },
    caution: 'tank-rating',
  },
  {
    id: 'motor-rest',
    within: { 'pump.power': '1 hp', 'tank.volume': '32 gal' },
    beyond: { 'pump.power': '1 hp', 'tank.volume': '28 gal' },
    caution: 'tank-rating',
  },
  // 3 people at 75 gal over 300 and 100 starts: 0.75 and 2.25 gal of drawdown.
  {
    id: 'starts-per-day',
    within: { 'tank.volume': '3 gal' },
    beyond: { 'tank.volume': '2.8 gal' },
    caution: 'tank-rating',
  },
  {
    id: 'starts-per-day',
    within: { 'pump.power': '1 hp', 'tank.volume': '9 gal' },
    beyond: { 'pump.power': '1 hp', 'tank.volume': '8.6 gal' },
    caution: 'tank-rating',
  },
  {
    id: 'cut-out-below-rating',
    within: { 'tank.rated_pressure': '60 psi' },
    beyond: { 'tank.rated_pressure': '59.9 psi' },
    caution: 'tank-rating',
  },
  {
    id: 'relief-below-rating',
    within: { 'relief.opens': '125 psi' },
    beyond: { 'relief.opens': '125.1 psi' },
    caution: 'never-plug-relief',
  },
  {
    id: 'relief-above-cut-out',
    within: { 'relief.opens': '70.1 psi' },
    beyond: { 'relief.opens': '69.9 psi' },
    caution: 'never-plug-relief',
  },
  // 8 A in 12 AWG at 0.34 ohm per 100 ft: 5 % of 230 V is 11.5 V, 420 ft.
  {
    id: 'cable-drop-run',
    within: { ...NO_FULL_LOAD, 'cable.length': '415 ft' },
    beyond: { ...NO_FULL_LOAD, 'cable.length': '425 ft' },
    caution: 'breaker-off-and-tested',
  },
  {
    id: 'cable-drop-start',
    within: { ...NO_FULL_LOAD, 'cable.length': '415 ft' },
    beyond: { ...NO_FULL_LOAD, 'cable.length': '425 ft' },
    caution: 'breaker-off-and-tested',
  },
  // 0.25 ft/s round a 4-inch motor in a 6-inch casing is 13.4 gpm; the pump makes some 17.
  {
    id: 'motor-cooling',
    within: { 'pump.power': '3 hp', 'pump.rated_flow': '10 gpm', 'well.casing': '6 in' },
    beyond: { 'pump.power': '3 hp', 'pump.rated_flow': '10 gpm', 'well.casing': '8 in' },
    caution: 'disinfect-and-sample',
  },
  {
    id: 'energy-per-volume',
    within: { ...NO_FULL_LOAD, 'pump.service_factor_current': '3.1 A' },
    beyond: { ...NO_FULL_LOAD, 'pump.service_factor_current': '2.6 A' },
    caution: null,
  },
];

describe.each(SIDES)('$id', ({ id, within, beyond, caution }) => {
  it(`is silent with ${JSON.stringify(within)}`, () => {
    const result = resultOf(id, within);
    expect(result.verdict, `${result.value} of ${JSON.stringify(result.limit)}`).toBe('within');
    expect(result.cautions).toEqual([]);
  });
  it(`fires with ${JSON.stringify(beyond)}`, () => {
    const result = resultOf(id, beyond);
    expect(result.verdict, `${result.value} of ${JSON.stringify(result.limit)}`).toBe('beyond');
    expect(result.says).not.toBe(resultOf(id, within).says);
    if (caution !== null) expect(result.cautions).toContain(caution);
  });
});

describe('limits', () => {
  it('are all tried from both sides', () => {
    const keys = { ...WHOLE, 'pump.power': '3 hp' };
    const { results } = checkInstallation(wellOfKeys(keys));
    const limited = results.filter(({ limit }) => limit !== null).map(({ id }) => id);
    expect(limited.length).toBeGreaterThan(12);
    const tried = new Set(SIDES.map(({ id }) => id));
    expect(limited.filter((id) => !tried.has(id))).toEqual([]);
  });
  it('say that they lie within the uncertainty, where they do', () => {
    expect(resultOf('relief-above-cut-out', { 'relief.opens': '71 psi' }).close).toBe(true);
    // 5 psi for the valve and 2 psi for the switch: 10.77 psi is twice that in squares.
    const close = (psi: number) =>
      resultOf('relief-above-cut-out', { 'relief.opens': `${psi} psi` }).close;
    expect([close(80.7), close(80.8), close(99)]).toEqual([true, false, false]);
  });
  it('name the rule where sources differ', () => {
    const rule = (power: string, more: Keys = {}) =>
      resultOf('starts-per-day', { 'pump.power': power, ...more }).limit?.rule;
    expect(rule('3/4 hp')).toMatch(/300, motors to 3\/4 hp/);
    expect(rule('1 hp')).toMatch(/100, single-phase above 3\/4 hp/);
    expect(rule('1 hp', { 'pump.motor': 'three-phase', 'pump.phases': 3 })).toBe('at most 300');
  });
  it('of small motors end at 3/4 hp, those of the motor table begin at 1 hp', () => {
    expect(resultOf('starts-per-hour', { 'pump.power': '3/4 hp' }).limit?.rule).toMatch(/15,/);
    expect(resultOf('starts-per-hour', { 'pump.power': '0.8 hp' }).limit?.rule).toMatch(/7\.5,/);
    expect(resultOf('motor-rest', { 'pump.power': '3/4 hp' }).verdict).toBe('does-not-apply');
    expect(resultOf('motor-rest', { 'pump.power': '1 hp' }).limit?.least?.value).toBe(75);
    expect(resultOf('motor-rest', { 'pump.power': '2.5 hp' }).limit?.least?.value).toBe(80);
    expect(resultOf('motor-rest', { 'pump.power': '15 hp' }).verdict).toBe('does-not-apply');
  });
  it('of cooling begin at 3 hp and leave wider motors to their maker', () => {
    expect(resultOf('motor-cooling', { 'pump.power': '2 hp' }).verdict).toBe('no-limit');
    expect(resultOf('motor-cooling', { 'pump.power': '15 hp' }).verdict).toBe('does-not-apply');
    expect(resultOf('motor-cooling', { 'pump.kind': 'jet' }).verdict).toBe('does-not-apply');
  });
  it('bring only cautions that an act has', () => {
    const known = new Set(Object.values(ACT_CAUTIONS).flat());
    const all = SIDES.flatMap(({ id, beyond }) => resultOf(id, beyond).cautions);
    expect(all.length).toBeGreaterThan(20);
    for (const id of all) expect(known).toContain(id);
  });
});
