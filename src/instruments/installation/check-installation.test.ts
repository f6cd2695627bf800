import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Keys, resultOf, WHOLE, wellOfKeys } from '../../../test/support/wells.ts';
import { QUANTITIES } from '../../wellfile/equipment.ts';
import { checkInstallation } from './check-installation.ts';
import { GPM_M3_PER_S, PSI_PA } from './constants.ts';
import { FIELDS } from './site.ts';

const OTHER_KEYS = ['pump.kind', 'pump.curve', 'house.people'];

describe('the well file', () => {
  it('has each field where the check says it stands', () => {
    const inFile = Object.entries(QUANTITIES).map(([key, { to }]) => `${to} ${key}`);
    const here = Object.entries(FIELDS).map(([to, { key }]) => `${to} ${key}`);
    expect(here.toSorted()).toEqual(inFile.toSorted());
  });
  it('with all keys leaves nothing unknown', () => {
    const { results, missing } = checkInstallation(wellOfKeys(WHOLE));
    expect(results.length).toBeGreaterThan(25);
    expect(results.filter(({ verdict }) => verdict === 'not-known')).toEqual([]);
    expect(missing).toEqual([]);
  });
  it('with its name alone gets no figure, but what each result needs', () => {
    const { results, missing } = checkInstallation(wellOfKeys({ name: 'Bare' }));
    for (const result of results) {
      expect(result.value, result.id).toBeNull();
      expect(result.verdict, result.id).toBe('not-known');
      expect(result.needs.length, result.id).toBeGreaterThan(0);
      for (const key of result.needs) expect(result.says).toContain(key);
    }
    const counts = missing.map(({ count }) => count);
    expect(counts).toEqual(counts.toSorted((a, b) => b - a));
    expect(counts[0]).toBeGreaterThan(counts.at(-1) ?? 0);
  });
  it('tells for each missing key the results that wait for it', () => {
    const { missing } = checkInstallation(wellOfKeys({ ...WHOLE, 'tank.rated_pressure': null }));
    expect(missing).toEqual([{ key: 'tank.rated_pressure', count: 2 }]);
  });
  it('after a service holds what is there now', () => {
    const more = '[[service]]\non = 2026-05-02\ndid = "new tank"\nservice = 0\n';
    expect(() => wellOfKeys(WHOLE, more)).toThrow();
    const service = more.replace('service = 0\n', '[service.now]\ntank.volume = "20 gal"\n');
    const before = resultOf('tank-drawdown').value ?? Number.NaN;
    const after = resultOf('tank-drawdown', {}, service).value ?? Number.NaN;
    expect(after / before).toBeCloseTo(20 / 86, 9);
  });
  it('with a sounding takes its level, of the rested well only', () => {
    const sounding = (pump: string) =>
      `[[sounding]]\nstart = 2026-05-02T09:00:00Z\nlevel = "80 ft"\npump = "${pump}"\n`;
    const over = (more: string) => resultOf('water-over-intake', {}, more).value;
    expect(over(sounding('resting'))).toBeCloseTo(100 * 0.3048, 9);
    expect(over(sounding('running'))).toBeCloseTo(80 * 0.3048, 9);
    const later = sounding('resting').replace('05-02', '06-02').replace('80 ft', '90 ft');
    expect(over(later + sounding('resting'))).toBeCloseTo(90 * 0.3048, 9);
    expect(over(sounding('resting') + later)).toBeCloseTo(90 * 0.3048, 9);
  });
});

describe('what is assumed', () => {
  const input = (id: string, symbol: string, changes: Keys = {}) => {
    const found = resultOf(id, changes).inputs.find((one) => one.symbol === symbol);
    if (found === undefined) throw new Error(`no ${symbol} in ${id}`);
    return found;
  };
  it('of fittings adds up by Table 3.3 of the EPANET 2 manual', () => {
    // A swing check 2.5, four short elbows 0.9, a tee through its run 0.6, an exit 1.0.
    expect(input('minor-losses', 'K').value).toBeCloseTo(7.7, 9);
  });
  it('of the pipe is that of its material', () => {
    const C = (material: string | null) =>
      input('pipe-friction', 'C', { 'pipe.material': material }).value;
    expect([C('plastic'), C('copper'), C('steel'), C(null)]).toEqual([140, 135, 110, 140]);
  });
  it('of the air follows the altitude, wide where that is not told', () => {
    const told = input('tank-drawdown', 'pa', { altitude: '6000 ft' });
    // 11.78 psia at 6000 ft, US Standard Atmosphere 1976; some 0.5 psi for 1000 ft.
    expect(told.value / PSI_PA).toBeCloseTo(11.78, 2);
    expect(told.std / PSI_PA).toBeCloseTo(0.043, 2);
    const untold = input('tank-drawdown', 'pa', { altitude: null });
    expect(untold.origin.from).toBe('assumed');
    expect(told.origin.from).toBe('file');
    expect(untold.std / told.std).toBeGreaterThan(10);
  });
});

describe('whatever is known', () => {
  const keys = Object.keys(WHOLE).filter((key) => key !== 'name');
  const known = new Set([...Object.keys(QUANTITIES), ...OTHER_KEYS]);
  const scaled = (key: string, factor: number): string | number | null => {
    const value = WHOLE[key] ?? null;
    const [, number, unit] = /^([\d.]+) (.+)$/.exec(String(value)) ?? [];
    if (number === undefined || unit === 'AWG') return value;
    return `${(Number(number) * factor).toPrecision(6)} ${unit}`;
  };
  it('gives a figure with its uncertainty, or says what it needs', () => {
    let figures = 0;
    const changes = fc.dictionary(fc.constantFrom(...keys), fc.constantFrom(0, 0.5, 0.9, 1.1, 2));
    fc.assert(
      fc.property(changes, (factors) => {
        const changed: Keys = { ...WHOLE };
        for (const [key, factor] of Object.entries(factors)) {
          changed[key] = factor === 0 ? null : scaled(key, factor);
        }
        let well: ReturnType<typeof wellOfKeys>;
        try {
          well = wellOfKeys(changed);
        } catch {
          return;
        }
        for (const result of checkInstallation(well).results) {
          const { value, std, verdict, needs, says, source, formula, inputs, limit } = result;
          expect(says, result.id).not.toBe('');
          expect(source).not.toBe('');
          expect(formula.us).not.toBe('');
          expect(result.defers).toMatch(/Local code/);
          for (const key of needs) expect(known, key).toContain(key);
          if (value === null) {
            expect(['not-known', 'does-not-apply'], result.id).toContain(verdict);
            continue;
          }
          figures += 1;
          expect(Number.isFinite(value), result.id).toBe(true);
          expect(std, result.id).toBeGreaterThan(0);
          expect(Number.isFinite(std), result.id).toBe(true);
          expect(inputs.length).toBeGreaterThan(0);
          expect(verdict === 'no-limit', result.id).toBe(limit === null);
        }
      }),
      { numRuns: 120, seed: 5 },
    );
    expect(figures).toBeGreaterThan(800);
  });
});

describe('uncertainty', () => {
  it('of a quotient is that of its parts in squares', () => {
    const run = resultOf('run-time');
    const [V, Q] = run.inputs;
    const share = (x: typeof V) => (x?.std ?? Number.NaN) / (x?.value ?? Number.NaN);
    // First-order propagation, GUM equation 10; the check takes differences, so 3 % apart.
    const wanted = Math.hypot(share(V), share(Q));
    expect((run.std ?? 0) / (run.value ?? 1) / wanted).toBeCloseTo(1, 1);
  });
  it('of a difference is exactly that', () => {
    const { std } = resultOf('relief-above-cut-out');
    expect((std ?? 0) / PSI_PA).toBeCloseTo(Math.hypot(5, 2), 6);
  });
  it('is wider without the curve', () => {
    const curve =
      '[["0 gpm", "344 ft"], ["5 gpm", "319 ft"], ["10 gpm", "248 ft"], ["16.5 gpm", "54 ft"]]';
    const known = resultOf('delivery-at-middle', { 'pump.curve': curve }).std ?? 0;
    const unknown = resultOf('delivery-at-middle').std ?? 0;
    expect(unknown / known).toBeGreaterThan(1.3);
  });
});

describe('a pump that cannot', () => {
  it('make the pressure has no operating point, and what waits for it says so', () => {
    const deep = { 'well.static_level': '320 ft', 'pump.intake_depth': '400 ft' };
    expect(resultOf('delivery-at-middle', deep).verdict).toBe('not-known');
    expect(resultOf('delivery-at-middle', deep).says).toMatch(/cannot make/);
    expect(resultOf('run-time', deep).says).toMatch(/operating point, mid band/);
    expect(resultOf('cut-out-reach', deep).verdict).toBe('beyond');
  });
  it('be read off a curve that ends too soon says so', () => {
    const short = { 'pump.curve': '[["0 gpm", "344 ft"], ["5 gpm", "319 ft"]]' };
    expect(resultOf('delivery-at-middle', short).says).toMatch(/its curve ends/);
    const late = { 'pump.curve': '[["5 gpm", "319 ft"], ["16.5 gpm", "54 ft"]]' };
    expect(resultOf('shut-off-head', late).says).toMatch(/does not begin at no flow/);
    expect(resultOf('delivery-at-middle', late).value).not.toBeNull();
  });
  it('be of the table when it is a jet needs its own curve', () => {
    expect(resultOf('delivery-at-middle', { 'pump.kind': 'jet' }).needs).toEqual(['pump.curve']);
  });
  it('deliver more with a wider pipe, or less from deeper water', () => {
    const at = (changes: Keys) =>
      (resultOf('delivery-at-middle', changes).value ?? Number.NaN) / GPM_M3_PER_S;
    expect(at({ 'pipe.inside_diameter': '1.38 in' })).toBeGreaterThan(at({}));
    expect(at({ 'well.static_level': '130 ft' })).toBeLessThan(at({}));
    expect(at({ 'pipe.material': 'steel' })).toBeLessThan(at({}));
    // Pump and gauge stand in the same air.
    expect(at({ altitude: '6000 ft' })).toBeCloseTo(at({}), 9);
  });
});

describe('energy', () => {
  it('costs what a kilowatt hour does, times what a volume takes', () => {
    // 8 A at 230 V, power factor 0.71 and some 11 gpm: 2 kWh for 1000 gal at 0.17 USD.
    expect(resultOf('energy-per-volume').says).toMatch(/: some 0\.3[3-5] USD for 1000 gal\.$/);
    expect(resultOf('energy-per-volume', { units: 'si' }).says).toMatch(/0\.09\d? USD for 1 m3/);
    expect(resultOf('energy-per-volume', { 'energy.price': null }).says).toMatch(/energy\.price/);
  });
});

describe('three phases', () => {
  const three = { 'pump.motor': 'three-phase', 'pump.phases': 3 };
  it('are known by the phases or by the motor alone; single-phase is told or taken', () => {
    const loop = (changes: Keys) => {
      const neither = { 'pump.motor': null, 'pump.phases': null };
      const { inputs } = resultOf('cable-drop-run', { ...neither, ...changes });
      const g = inputs.find(({ symbol }) => symbol === 'g');
      return `${g?.value.toFixed(3)} ${g?.origin.from === 'assumed' ? g.origin.because : ''}`;
    };
    expect(loop({ 'pump.phases': 3 })).toMatch(/^0\.866 three-phase/);
    expect(loop({ 'pump.motor': 'three-phase' })).toMatch(/^0\.866 three-phase/);
    expect(loop({ 'pump.phases': 1 })).toBe('1.000 single-phase');
    expect(loop({ 'pump.motor': '3-wire' })).toBe('1.000 single-phase');
    expect(loop({})).toBe('1.000 taken as single-phase');
  });
  it('drop sqrt(3)/2 of what one drops in the same conductors', () => {
    const ratio =
      (resultOf('cable-drop-run', three).value ?? 0) / (resultOf('cable-drop-run').value ?? 1);
    expect(ratio).toBeCloseTo(Math.sqrt(3) / 2, 9);
  });
  it('take sqrt(3) times the power at the same current', () => {
    const one = resultOf('energy-per-volume');
    const all = resultOf('energy-per-volume', three);
    const factor = (result: typeof one) =>
      result.inputs.find(({ symbol }) => symbol === 'f')?.value ?? 0;
    const ratio = (all.value ?? 0) / factor(all) / ((one.value ?? 1) / factor(one));
    expect(ratio).toBeCloseTo(Math.sqrt(3), 9);
  });
});
