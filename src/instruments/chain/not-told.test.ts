import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Sound, soundChains } from '../../../test/support/sound-chains.ts';
import { parseWellFile } from '../../wellfile/parse.ts';
import { checkChain } from './check-chain.ts';
import { contextOf } from './context.ts';
import { parseSensing } from './parse-sensing.ts';
import type { Chain } from './types.ts';

type Part = 'pressure' | 'current' | 'converter' | 'bus' | 'sampling';

/** Keys whose absence means something else than that they are not known. */
const MEANS_SOMETHING: Record<Part, readonly string[]> = {
  // No divider; the gain to choose is used; the supply of the sensor is shown, not judged; its
  // sag counts only where it reads as pressure.
  pressure: ['divider', 'gainV', 'supplyV', 'sagShare'],
  // A voltage output has no burden of its own; accuracy counts where no class is told.
  current: ['divider', 'gainV', 'burdenOhm', 'burdenLimitOhm', 'accuracyShare', 'differential'],
  converter: ['signed'],
  bus: ['pinsBearV'],
  // While it runs as at rest.
  sampling: ['runningIntervalS'],
};

const said = ({ chain, context }: Sound) => {
  const { notJudged, assumed } = checkChain(chain, context);
  return [...notJudged, ...assumed];
};

function without({ chain, context }: Sound, part: Part, key: string): Sound {
  return { context, chain: { ...chain, [part]: { ...chain[part], [key]: null } } as Chain };
}

const PARTS = Object.keys(MEANS_SOMETHING) as Part[];

describe('what is not told', () => {
  it.each(PARTS)('of %s is said, key by key', (part) => {
    fc.assert(
      fc.property(soundChains, (sound) => {
        const before = new Set(said(sound));
        for (const [key, value] of Object.entries(sound.chain[part] ?? {})) {
          const isTold = value !== null && !(Array.isArray(value) || value === false);
          if (!isTold || MEANS_SOMETHING[part].includes(key)) continue;
          const fresh = said(without(sound, part, key)).filter((text) => !before.has(text));
          expect(fresh, `${part}.${key}`).not.toEqual([]);
        }
      }),
      { numRuns: 20 },
    );
  });

  it('of a current output is said too', () => {
    const current = { range: '30 A', output: '15 mA', burden: '22 ohm', burden_limit: '90 ohm' };
    const { burden: _, ...open } = current;
    const { burden_limit: __, ...unlimited } = current;
    const context = contextOf(wellOf('[pump]\nfull_load_current = "7 A"\n'));
    const texts = (keys: Record<string, unknown>) =>
      said({ chain: chainOf({ current: keys }), context }).join('\n');
    expect(texts(open)).toContain('needs current.burden');
    expect(texts(current)).not.toContain('current.burden');
    expect(texts(unlimited)).toContain('saturation by the burden: needs current.burden_limit');
  });

  it('as a whole channel, converter or range is said', () => {
    fc.assert(
      fc.property(soundChains, (sound) => {
        for (const part of ['pressure', 'current', 'converter', 'bus'] as const) {
          const cut = { ...sound, chain: { ...sound.chain, [part]: null } };
          expect(said(cut).join('\n')).toMatch(new RegExp(`needs .*sensing\\.${part}\\b`));
        }
        const converter = sound.chain.converter!;
        const blind = { ...converter, rangesV: [], reference: 'absolute' as const };
        const texts = said({ ...sound, chain: { ...sound.chain, converter: blind } }).join('\n');
        expect(texts).toContain('pressure at the input of the converter: needs converter.range');
        expect(texts).toContain('current at the input of the converter: needs converter.range');
      }),
      { numRuns: 20 },
    );
  });
});

const wellOf = (more: string) => {
  const parsed = parseWellFile(`name = "Bend"\n${more}`);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.issues));
  return parsed.well;
};
const chainOf = (sensing: Record<string, unknown>): Chain => {
  const read = parseSensing(sensing);
  if (!read.ok) throw new Error(JSON.stringify(read.issues));
  return read.chain;
};

describe('the current of the motor', () => {
  const sensing = {
    current: { range: '30 A', output: '1 V', bias: '1.65 V', gain: '3.3 V' },
    converter: { bits: 12, range: ['3.3 V', '5 V'], supply: '3.3 V' },
  };

  it('not told leaves what does not hang on it: counts, resolution, the budget at zero', () => {
    const report = checkChain(chainOf(sensing), contextOf(wellOf('')));
    const [current] = report.channels;
    // 3.3 V in 4096 steps, 1 V at 30 A.
    expect(current?.resolution).toBeCloseTo((3.3 / 4096) * 30, 12);
    expect(current?.budgets.map(({ at }) => at)).toEqual(['zero']);
    expect(current?.gain).toBeNull();
    const texts = report.notJudged.join('\n');
    expect(texts).toContain('needs pump.service_factor_current or pump.full_load_current');
    expect(report.assumed.join('\n')).not.toContain('a start:');
  });

  it('told gives the start too, and says by what', () => {
    const context = contextOf(wellOf('[pump]\nfull_load_current = "4 A"\n'));
    expect(context).toMatchObject({ runA: 4, inrushA: 26 });
    const { assumed, notJudged } = checkChain(chainOf(sensing), context);
    expect(assumed).toContain('a start: 6.5 times the running current');
    expect(notJudged.join('\n')).not.toContain('pump.');
    const both = '[pump]\nfull_load_current = "4 A"\nservice_factor_current = "5 A"\n';
    expect(contextOf(wellOf(both)).runA).toBe(5);
  });
});
