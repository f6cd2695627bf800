import { describe, expect, it } from 'vitest';
import { type Keys, resultOf, WHOLE, wellOfKeys } from '../../../test/support/wells.ts';
import { GALLON_M3, KILOWATT_HOUR_J } from '../../units/table.ts';
import { FOOT_M, GPM_M3_PER_S, PSI_PA } from './constants.ts';
import { motorCooling } from './cooling-checks.ts';
import { Site } from './site.ts';

const figure = (id: string, changes: Keys, unit: number) =>
  (resultOf(id, changes).value ?? Number.NaN) / unit;
const KWH_PER_KGAL = KILOWATT_HOUR_J / (1000 * GALLON_M3);

/**
 * Generic pumps of 4 inch, 230 V, with 150 ft of 1 in pipe (1-1/4 in the last): head over flow,
 * gpm at 40, 50, 60 and 75 psi, shut-off at the tee, kWh/kgal at 50 psi and its floor. Worked out
 * apart from this code, without minor losses, from a table of generic pumps (from memory).
 */
const PUMPS = [
  {
    keys: { 'pump.power': '3/4 hp', 'pump.service_factor_current': '8.0 A' },
    lift: '100 ft',
    rated: '10 gpm',
    curve: '0:344 2.5:336 5:319 7.5:291 10:248 12.5:188 15:110 16.5:54',
    gpm: { 30: 12.7, 40: 11.9, 50: 11.0, 60: 10.0, 75: 8.2 },
    shutOffPsi: 106,
    floor: 0.71,
    energy: 1.9,
  },
  {
    keys: { 'pump.power': '1 hp', 'pump.service_factor_current': '9.8 A' },
    lift: '200 ft',
    rated: '10 gpm',
    curve: '0:428 2.5:419 5:397 7.5:362 10:308 12.5:234 15:137 16.5:67',
    gpm: { 30: 11.0, 40: 10.2, 50: 9.35, 60: 8.4, 75: 6.5 },
    shutOffPsi: 99,
    floor: 1.02,
    energy: 2.7,
  },
  {
    keys: { 'pump.power': '1 hp', 'pump.service_factor_current': '9.8 A' },
    lift: '300 ft',
    rated: '7 gpm',
    curve: '0:554 1.75:542 3.5:514 5.25:468 7:399 8.75:303 10.5:178 11.55:87',
    gpm: { 30: 7.5, 40: 7.0, 50: 6.5, 60: 6.0, 75: 5.0 },
    shutOffPsi: 110,
    floor: 1.32,
    energy: 3.9,
  },
  {
    keys: {
      'pump.power': '1/2 hp',
      'pump.full_load_current': null,
      'pump.service_factor_current': '6.0 A',
    },
    lift: '150 ft',
    rated: '5 gpm',
    curve: '0:389 1.25:380 2.5:361 3.75:328 5:280 6.25:213 7.5:125 8.25:61',
    gpm: { 30: 6.1, 40: 5.7, 50: 5.3, 60: 4.8, 75: 3.9 },
    shutOffPsi: 104,
    floor: 0.84,
    energy: 2.9,
  },
  {
    keys: {
      'pump.power': '1.5 hp',
      'pump.motor': '3-wire capacitor-run',
      'pump.service_factor_current': '11.5 A',
      'pipe.inside_diameter': '1.38 in',
    },
    lift: '120 ft',
    rated: '20 gpm',
    curve: '0:306 5:299 10:284 15:258 20:220 25:167 30:98 33:48',
    gpm: { 30: 22.1, 40: 19.9, 50: 17.3, 60: 14.2, 75: 6.9 },
    shutOffPsi: 80,
    floor: 0.76,
    energy: 1.9,
  },
];

const keysOf = ({ keys, lift, curve }: (typeof PUMPS)[number]): Keys => ({
  ...keys,
  'well.static_level': lift,
  'pump.intake_depth': '500 ft',
  'pump.curve': `[${curve
    .split(' ')
    .map((point) => point.split(':'))
    .map(([gpm, ft]) => `["${gpm} gpm", "${ft} ft"]`)
    .join(', ')}]`,
});

describe.each(PUMPS)('pump of $keys at $lift', (pump) => {
  const keys = keysOf(pump);
  it.each(Object.entries(pump.gpm))('delivers at %s psi what its table says', (psi, gpm) => {
    const changes = { ...keys, 'switch.cut_in': `${psi} psi`, 'switch.cut_out': '78 psi' };
    const found = figure('delivery-at-cut-in', changes, GPM_M3_PER_S);
    // Fittings, which the table leaves out, take up to 2 ft of head.
    expect(found).toBeLessThan(gpm + 0.1);
    expect(found).toBeGreaterThan(gpm - (psi === '75' ? 0.35 : 0.3));
  });
  it('shuts off at the pressure of its table', () => {
    expect(figure('shut-off-pressure', keys, PSI_PA)).toBeCloseTo(pump.shutOffPsi, -0.4);
  });
  it('needs the energy of its table, of which this is the floor', () => {
    // Within 10 %: the table has the amps of the load, the check those of the nameplate.
    const energy = figure('energy-per-volume', keys, KWH_PER_KGAL);
    expect(Math.abs(energy / pump.energy - 1)).toBeLessThan(0.1);
    expect(figure('energy-floor', keys, KWH_PER_KGAL)).toBeCloseTo(pump.floor, 1.6);
  });
  it('is found by its nameplate nearly as well', () => {
    const named = { ...keys, 'pump.curve': null, 'pump.rated_flow': pump.rated };
    const psi = figure('shut-off-pressure', named, PSI_PA);
    expect(Math.abs(psi / pump.shutOffPsi - 1)).toBeLessThan(0.03);
  });
});

describe('tank', () => {
  // Trade press, worked example: 85 gal, 30/50, 28 psi at sea level 25.1 gal; the same at 6000 ft
  // has 11.8 psia and comes to 26.19 gal by hand (its printed answer is cut off).
  it.each([
    ['0 ft', 25.1, 0.1],
    ['6000 ft', 26.19, 0.05],
  ])('of the worked example gives at %s %d gal', (altitude, gallons, tolerance) => {
    const found = figure(
      'tank-drawdown',
      {
        altitude,
        'tank.volume': '85 gal',
        'tank.precharge': '28 psi',
        'switch.cut_in': '30 psi',
        'switch.cut_out': '50 psi',
      },
      GALLON_M3,
    );
    expect(Math.abs(found - gallons)).toBeLessThan(tolerance);
  });
  // Drawdowns at 14.7 psia, air 2 psi below cut-in: worked out by hand from Boyle's law.
  it.each([
    ['20 gal', '40/60', 5.2],
    ['44 gal', '20/40', 15.2],
    ['44 gal', '40/60', 11.3],
    ['86 gal', '30/50', 25.4],
    ['86 gal', '50/70', 19.7],
    ['119 gal', '40/60', 30.7],
  ])('of %s at %s gives %d gal', (volume, setting, gallons) => {
    const [cutIn = '', cutOut = ''] = setting.split('/');
    const found = figure(
      'tank-drawdown',
      {
        'tank.volume': volume,
        'tank.precharge': null,
        'switch.cut_in': `${cutIn} psi`,
        'switch.cut_out': `${cutOut} psi`,
      },
      GALLON_M3,
    );
    expect(Math.abs(found - gallons)).toBeLessThan(0.06);
  });
});

describe('cable', () => {
  // Ohm per 100 ft of drop cable, there and back, as a motor maker's manual prints them.
  it.each([
    ['14 AWG', 0.544],
    ['12 AWG', 0.338],
    ['10 AWG', 0.214],
    ['8 AWG', 0.135],
  ])('of %s has its resistance within 2 %%', (size, ohm) => {
    const changes = { 'cable.size': size, 'cable.length': '100 ft' };
    expect(Math.abs(figure('cable-resistance', changes, 1) / ohm - 1)).toBeLessThan(0.02);
  });
  // Percent of 230 V over 300 ft with those resistances, amps at service factor from memory.
  it.each([
    ['6.0 A', [4.3, 2.6, 1.7, 1.1]],
    ['9.8 A', [7.0, 4.3, 2.7, 1.7]],
    ['13.2 A', [9.4, 5.8, 3.7, 2.3]],
  ])('drops at %s what the table says', (amps, percents) => {
    const sizes = ['14 AWG', '12 AWG', '10 AWG', '8 AWG'];
    const found = sizes.map((size) =>
      figure(
        'cable-drop-run',
        {
          'pump.service_factor_current': amps,
          'pump.full_load_current': null,
          'cable.size': size,
          'cable.length': '300 ft',
        },
        0.01,
      ),
    );
    found.forEach((percent, i) => {
      expect(Math.abs(percent - (percents[i] ?? Number.NaN))).toBeLessThan(0.11);
    });
  });
  it('comes to the published voltage drop when as warm as its table says', () => {
    // 8.0 A, 300 ft of solid 12 AWG at 75 degC, 230 V: 9.264 V, 4.028 % (NFPA 70, Chapter 9
    // Table 8, by hand); here the conductor is at 40 degC, and copper has 0.00393/K at 20 degC.
    const changes = { 'pump.service_factor_current': '8 A', 'cable.length': '300 ft' };
    const cooler = (1 + 0.00393 * 20) / (1 + 0.00393 * 55);
    expect(figure('cable-drop-run', changes, 0.01)).toBeCloseTo(4.028 * cooler, 1);
  });
});

describe('suction of a jet pump', () => {
  it('loses lift and losses from the air less what boils', () => {
    const jet = {
      'pump.kind': 'jet',
      'pump.curve': '[["0 gpm", "150 ft"], ["6 gpm", "120 ft"], ["12 gpm", "60 ft"]]',
      'well.static_level': '18 ft',
      'switch.cut_in': '20 psi',
      'switch.cut_out': '40 psi',
      'tank.precharge': '18 psi',
    };
    const { value, inputs } = resultOf('suction-head', jet);
    const part = (symbol: string) => inputs.find((input) => input.symbol === symbol)?.value ?? 0;
    expect(part('hf') / FOOT_M).toBeGreaterThan(1);
    expect(part('hm') / FOOT_M).toBeGreaterThan(0.1);
    const sum = (value ?? Number.NaN) + part('z') + part('hf') + part('hm');
    // 34 ft of air at sea level (Spellman, 33.9 by the standard atmosphere) less 0.411 ft of
    // vapour at 50 degF (Bachus and Custodio).
    expect(sum / FOOT_M).toBeCloseTo(33.5, 1);
  });
});

describe('cooling', () => {
  // Least gpm past a 4-inch motor for 0.25 ft/s by casing, as makers print it (from memory).
  it.each([
    ['4 in', 1.2],
    ['5 in', 7],
    ['6 in', 13],
    ['7 in', 20],
    ['8 in', 30],
    ['10 in', 50],
  ])('in a casing of %s needs %d gpm', (casing, gpm) => {
    const keys = { ...WHOLE, 'well.casing': casing, 'pump.power': '3 hp' };
    const site = new Site(wellOfKeys(keys));
    const flow = { ...resultOf('delivery-at-cut-out'), value: gpm * GPM_M3_PER_S };
    const { value, limit } = motorCooling(site, flow);
    const limitMPerS = limit?.least?.value ?? Number.NaN;
    expect(limitMPerS).toBeCloseTo(0.25 * FOOT_M, 9);
    // Printed to a whole gpm, the larger ones to tens.
    expect(Math.abs((value ?? Number.NaN) / limitMPerS - 1)).toBeLessThan(0.075);
  });
});
