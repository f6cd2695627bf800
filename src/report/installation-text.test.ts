import { describe, expect, it } from 'vitest';
import { type Keys, WHOLE, wellOfKeys } from '../../test/support/wells.ts';
import { checkInstallation } from '../instruments/installation/check-installation.ts';
import { CAUTIONS } from '../model/cautions.ts';
import { shownInput, shownValue, withFigures } from './installation-figures.ts';
import { installationText } from './installation-text.ts';
import { TEXT_WIDTH } from './layout.ts';

const JET: Keys = {
  'pump.kind': 'jet',
  'pump.curve': '[["0 gpm", "150 ft"], ["6 gpm", "120 ft"], ["12 gpm", "60 ft"]]',
  'well.static_level': '18 ft',
  'pump.intake_depth': '60 ft',
  'pipe.length': '30 ft',
  'switch.cut_in': '20 psi',
  'switch.cut_out': '40 psi',
  'tank.precharge': '18 psi',
};
const THREE: Keys = { 'pump.motor': 'three-phase', 'pump.phases': 3, 'pump.power': '3 hp' };
const FLOWING: Keys = { 'well.static_level': '-12 ft', altitude: '4000 ft' };
const WELLS: [string, Keys][] = [
  ['whole', WHOLE],
  ['jet', { ...WHOLE, ...JET }],
  ['three-phase', { ...WHOLE, ...THREE }],
  ['flowing', { ...WHOLE, ...FLOWING }],
  ['overcharged', { ...WHOLE, 'tank.precharge': '48 psi' }],
  ['no precharge', { ...WHOLE, 'tank.precharge': null }],
];

/** The value of shown arithmetic: numbers, + - * / ^, brackets. */
function calculated(text: string): number {
  expect(text).toMatch(/^[\d.\s+\-*/^()]+$/);
  return Number(new Function(`return ${text.replaceAll('^', '**')}`)());
}

describe.each(WELLS)('the working of the well "%s"', (_name, keys) => {
  it.each(['us', 'si'] as const)('comes to the value shown, in %s units', (system) => {
    const { results } = checkInstallation(wellOfKeys(keys));
    const closed = results.filter(({ value, solved }) => value !== null && !solved);
    expect(closed.length).toBeGreaterThan(20);
    for (const { id, formula, inputs, value, kind } of closed) {
      const text = withFigures(formula[system], inputs, system);
      const shown = shownValue(value ?? Number.NaN, kind, system);
      const wanted = Number((/^-?[\d.,]+/.exec(shown)?.[0] ?? '').replaceAll(',', ''));
      // Three digits of each figure are shown; differences of two have those of the larger.
      const largest = Math.max(...inputs.map((input) => Math.abs(calculatedInput(input, system))));
      const isDifference = / - /.test(formula[system]);
      const allowed = isDifference
        ? Math.max(0.02 * Math.abs(wanted), 0.01 * largest)
        : 0.02 * wanted;
      const about = `${id}: ${text} = ${shown}`;
      expect(Math.abs(calculated(text) - wanted), about).toBeLessThanOrEqual(
        allowed + halfDigit(shown),
      );
    }
  });
});

/** Half of the last digit shown. */
const halfDigit = (shown: string) => 0.5 / 10 ** (/^-?[\d,]+\.(\d+)/.exec(shown)?.[1]?.length ?? 0);

type Input = ReturnType<typeof checkInstallation>['results'][number]['inputs'][number];

const calculatedInput = ({ value, kind }: Input, system: 'us' | 'si') =>
  Number.parseFloat(shownValue(value, kind, system).replaceAll(',', ''));

describe('the text', () => {
  const textOf = (keys: Keys) => {
    const well = wellOfKeys(keys);
    return installationText(checkInstallation(well), well);
  };
  const squeezed = (text: string) => text.replaceAll(/\s+/g, ' ');

  it.each([...WELLS, ['bare', { name: 'Bare' }] as [string, Keys]])(
    'of the well "%s" keeps within its width in both unit systems',
    (_name, keys) => {
      for (const units of ['us', 'si']) {
        const lines = textOf({ ...keys, units }).split('\n');
        expect(lines.length).toBeGreaterThan(80);
        for (const line of lines) expect([...line].length, line).toBeLessThanOrEqual(TEXT_WIDTH);
      }
    },
  );
  it('has every result twice: in the list and with its working', () => {
    const text = textOf(WHOLE);
    for (const { title } of checkInstallation(wellOfKeys(WHOLE)).results) {
      expect(text.split('\n').filter((line) => line.startsWith(`  ${title}`)).length, title).toBe(
        2,
      );
    }
  });
  it('shows formula, figures, where each came from, source and limit', () => {
    const text = squeezed(textOf(WHOLE));
    expect(text).toContain('Formula t = V / Q = 22.2 / ');
    expect(text).toContain(
      'Vt volume of the tank 86.0 ± 9 gal: well file, tank.volume (nameplate)',
    );
    expect(text).toContain('Hazen-Williams C 140 ± 10: assumed, pipe.material is plastic');
    expect(text).toMatch(/Limit at most 5 % \(NFPA 70.*?\): within\. Local code and a licensed/);
  });
  it('puts what is beyond its limit first, with its cautions', () => {
    const text = squeezed(textOf({ ...WHOLE, 'tank.rated_pressure': '70 psi' }));
    const first = text.slice(0, text.indexOf('All results'));
    expect(first).toContain('Rating above the relief valve: -5');
    expect(first).toContain(squeezed(CAUTIONS['never-plug-relief']));
    expect(first).not.toContain('Nothing that could be judged');
  });
  it('says which results lie so near that the uncertainty reaches over the limit', () => {
    const text = squeezed(textOf({ ...WHOLE, 'relief.opens': '71 psi' }));
    expect(text).toMatch(/reaches over the limit: .*Relief valve above cut-out/);
  });
  it('of a bare file says what would tell most', () => {
    const text = textOf({ name: 'Bare' });
    expect(text).toMatch(/pump\.power: \d+ results wait for it\./);
    expect(text).toContain('Needs ');
    expect(text).toContain('Nothing can be judged yet');
    expect(text).not.toContain('Nothing that could be judged');
    expect(textOf(WHOLE)).not.toContain('Nothing can be judged yet');
  });
  it('ends with what advice from two sensors is not', () => {
    expect(squeezed(textOf(WHOLE)).trim().endsWith(CAUTIONS['advisory-only'])).toBe(true);
  });
});

describe('an input', () => {
  const input = { value: 100, std: 0.5, kind: 'number' as const };
  it('stands with its 95 % uncertainty behind the figure', () => {
    expect(shownInput({ ...input, kind: 'voltage' }, 'us')).toBe('100 ± 1.0 V');
    expect(shownInput(input, 'us')).toBe('100 ± 1.0');
    expect(shownInput({ ...input, std: 0 }, 'us')).toBe('100');
  });
});
