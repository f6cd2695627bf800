import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { evenly } from '../../../test/support/evenly.ts';
import { type Sound, soundChains } from '../../../test/support/sound-chains.ts';
import { checkChain } from './check-chain.ts';
import type { Chain, ChainFinding, FindingId } from './types.ts';

type Part = 'pressure' | 'current' | 'converter' | 'bus' | 'sampling';

/** The chain with keys of one part set anew. */
function withPart<P extends Part>(
  sound: Sound,
  part: P,
  keys: Partial<NonNullable<Chain[P]>>,
): Sound {
  const was = sound.chain[part];
  return { ...sound, chain: { ...sound.chain, [part]: { ...was, ...keys } } };
}

const findingsOf = ({ chain, context }: Sound): ChainFinding[] =>
  checkChain(chain, context).findings;
const has = (sound: Sound, id: FindingId) => findingsOf(sound).some((found) => found.id === id);

/** A little beyond one: how far a number passes its limit, from a hair to a half. */
const excess = fc.oneof(fc.constant(1 + 1e-6), evenly(1.001, 1.5));

const rms = (sound: Sound) => {
  const { rangeA, output, burdenOhm } = sound.chain.current!;
  return (output!.unit === 'V' ? output!.rms : output!.rms * burdenOhm!) / rangeA!;
};
const dividerOf = ({ chain: { pressure } }: Sound) => {
  const divider = pressure!.divider;
  return divider === null ? 1 : divider.groundOhm / (divider.seriesOhm + divider.groundOhm);
};
const rangeOf = ({ chain: { converter } }: Sound) =>
  converter!.rangesV.at(-1) ?? converter!.supplyV!;
/** The current brought to a peak of so many volts, by its rated output. */
const withPeak = (sound: Sound, currentA: number, peak: number) => {
  const rated = (peak / (Math.SQRT2 * currentA)) * sound.chain.current!.rangeA!;
  return withPart(sound, 'current', { output: { unit: 'V', rms: rated }, burdenOhm: null });
};
const withRun = (sound: Sound, runA: number): Sound => ({
  ...sound,
  context: { ...sound.context, runA },
});

/**
 * Brings one quantity of a sound chain to `times` its limit: above one it is wrong, below right.
 * Each limit is worked out here again from the chain, not taken from the program.
 */
const SIDES: Record<string, { id: FindingId; at: (sound: Sound, times: number) => Sound }> = {
  'full pressure against the range': {
    id: 'above-range',
    at: (sound, times) => {
      const full = (rangeOf(sound) / dividerOf(sound)) * times;
      return withPart(sound, 'pressure', { outputV: { zero: 0.1, full } });
    },
  },
  'the running wave against the range': {
    id: 'above-range',
    at: (sound, times) => {
      const middle = sound.chain.current!.differential ? 0 : sound.chain.current!.biasV!;
      const peak = rangeOf(sound) * times - middle;
      return withPeak(sound, sound.context.runA!, Math.max(1e-3, peak));
    },
  },
  'full pressure against the supply': {
    id: 'beyond-supply',
    at: (sound, times) => {
      const { supplyV, beyondV } = sound.chain.converter!;
      const full = ((supplyV! + beyondV!) / dividerOf(sound)) * times;
      return withPart(sound, 'pressure', { outputV: { zero: 0.1, full } });
    },
  },
  'the wave of a start against the supply': {
    id: 'beyond-supply',
    at: (sound, times) => {
      const { supplyV, beyondV } = sound.chain.converter!;
      const peak = (supplyV! + beyondV!) * times - sound.chain.current!.biasV!;
      return withPeak(sound, sound.context.inrushA!, peak);
    },
  },
  'the wave of a start against ground': {
    id: 'below-ground',
    at: (sound, times) => {
      const { beyondV } = sound.chain.converter!;
      const peak = sound.chain.current!.biasV! + beyondV! * times;
      return withPeak(sound, sound.context.inrushA!, peak);
    },
  },
  'the running wave without bias': {
    id: 'negative-half-wave',
    at: (sound, times) => {
      const plain = withPart(sound, 'current', { differential: false });
      const signed = sound.chain.converter!.signed;
      // An unsigned converter loses all below zero: there the bias falls short by a share.
      const peak = signed ? 0.3 * times : 0.3;
      const biasV = signed ? 0 : 0.3 * (2 - times);
      return withPeak(withPart(plain, 'current', { biasV }), sound.context.runA!, peak);
    },
  },
  'pull-ups against the pins': {
    id: 'pull-ups-too-high',
    at: (sound, times) =>
      withPart(sound, 'bus', { pinsBearV: 3.6, pulledToV: 3.6 * times, logicV: null }),
  },
  'pull-ups against the logic level': {
    id: 'pull-ups-too-high',
    at: (sound, times) => withPart(sound, 'bus', { logicV: 3.3, pulledToV: 3.6 * times }),
  },
  'pull-ups too strong': {
    id: 'pull-ups-too-strong',
    at: (sound, times) =>
      withPart(sound, 'bus', { pullUpOhm: (sound.chain.bus!.pulledToV! - 0.4) / 0.003 / times }),
  },
  'pull-ups too weak': {
    id: 'pull-ups-too-weak',
    at: (sound, times) => {
      const riseS = sound.chain.bus!.speedHz === 100e3 ? 1e-6 : 300e-9;
      return withPart(sound, 'bus', { pullUpOhm: (riseS / (0.8473 * 60e-12)) * times });
    },
  },
  'high level of the bus': {
    id: 'bus-high-too-low',
    at: (sound, times) =>
      withPart(sound, 'bus', { pulledToV: (0.7 * sound.chain.converter!.supplyV!) / times }),
  },
  'a gain that clips the start': {
    id: 'clips-inrush',
    at: (sound, times) => {
      const run = withRun(sound, sound.context.inrushA! / 6);
      const { differential, biasV } = run.chain.current!;
      const rangeV = (differential ? 0 : biasV!) + Math.SQRT2 * rms(run) * run.context.inrushA!;
      return withPart(run, 'converter', { rangesV: [rangeV / times], reference: 'absolute' });
    },
  },
  'a gain coarser than need be': {
    id: 'wastes-range',
    at: (sound, times) => {
      const { outputV } = sound.chain.pressure!;
      const top = dividerOf(sound) * outputV!.full;
      // With a finer range that holds full pressure the one in use is a waste; else it is not.
      const finer = top * times;
      const used = withPart(sound, 'pressure', { gainV: 8 });
      return withPart(used, 'converter', { rangesV: [finer, 8], reference: 'absolute' });
    },
  },
  'a sensor that hardly moves the converter': {
    id: 'wastes-range',
    at: (sound, times) => {
      const { differential } = sound.chain.current!;
      const rangeV = rangeOf(sound);
      const one = withPart(sound, 'converter', { rangesV: [rangeV] });
      const span = differential ? 2 * rangeV : rangeV;
      return withPeak(one, sound.context.inrushA!, (0.25 * span) / 2 / times);
    },
  },
  'a burden that saturates while the pump runs': {
    id: 'burden-saturates',
    at: (sound, times) => {
      const limit = (sound.context.runA! / sound.chain.current!.rangeA!) * 33;
      const keys = { output: { unit: 'A', rms: 0.02 }, burdenOhm: 33 } as const;
      const calm = { ...sound, context: { ...sound.context, inrushA: null } };
      return withPart(calm, 'current', { ...keys, burdenLimitOhm: limit / times });
    },
  },
  'a burden that saturates at the start': {
    id: 'burden-saturates',
    at: (sound, times) => {
      const limit = (sound.context.inrushA! / sound.chain.current!.rangeA!) * 33;
      const keys = { output: { unit: 'A', rms: 0.02 }, burdenOhm: 33 } as const;
      return withPart(sound, 'current', { ...keys, burdenLimitOhm: limit / times });
    },
  },
  'a current output without a burden': {
    id: 'no-burden',
    at: (sound, times) =>
      withPart(sound, 'current', {
        output: { unit: 'A', rms: 0.02 },
        burdenOhm: times > 1 ? null : 22,
      }),
  },
  'a second burden': {
    id: 'burden-twice',
    at: (sound, times) =>
      withPart(sound, 'current', {
        output: { unit: 'V', rms: 0.333 },
        burdenOhm: times > 1 ? 22 : null,
      }),
  },
  'a ground that is not shared': {
    id: 'no-common-ground',
    at: (sound, times) => ({ ...sound, chain: { ...sound.chain, commonGround: times <= 1 } }),
  },
  'a converter too slow for the wave': {
    id: 'aliasing',
    at: (sound, times) =>
      withPart(sound, 'converter', { rateHz: (10 * sound.chain.sampling!.mainsHz!) / times }),
  },
  'a supply that sags': {
    id: 'supply-sag-reads-as-pressure',
    at: (sound, times) => {
      const { converter, pressure } = sound.chain;
      const mixed = withPart(sound, 'pressure', { ratiometric: converter!.reference !== 'supply' });
      const { zero, full } = pressure!.outputV!;
      const zeroPa = (zero / (full - zero)) * pressure!.rangePaGauge!;
      const limit = 2 * pressure!.noisePa!;
      const sagShare = (limit / (sound.context.cutOutPaGauge! + zeroPa)) * times;
      return withPart(mixed, 'pressure', { sagShare });
    },
  },
  'a transformer far too large': {
    id: 'transformer-far-too-large',
    at: (sound, times) =>
      withPart(sound, 'current', { rangeA: (sound.context.runA! / 0.2) * times }),
  },
  'a transducer that ends below the relief valve': {
    id: 'transducer-below-relief',
    at: (sound, times) =>
      withPart(sound, 'pressure', { rangePaGauge: sound.context.reliefPaGauge! / times }),
  },
};

describe('a chain with nothing wrong', () => {
  it('has no finding, whatever its parts', () => {
    fc.assert(
      fc.property(soundChains, (sound) => {
        const { findings, notJudged } = checkChain(sound.chain, sound.context);
        expect(findings.map(({ id, says }) => `${id}: ${says}`)).toEqual([]);
        expect(notJudged).toEqual([]);
      }),
      { numRuns: 300 },
    );
  });
});

describe('each check, on both sides of its limit', () => {
  it.each(Object.entries(SIDES))('%s', (_, { id, at }) => {
    fc.assert(
      fc.property(soundChains, excess, (sound, times) => {
        const wrong = at(sound, times);
        const found = findingsOf(wrong).filter((finding) => finding.id === id);
        expect(found.length, `${id} at ${times}`).toBeGreaterThan(0);
        expect(has(at(sound, 2 - times), id), `${id} at ${2 - times}`).toBe(false);
      }),
    );
  });
});

// Each question with the interval it takes, from durations that the trade meets (common practice).
const REST_S = { 'whether water leaves steadily at rest': 300, 'when water is drawn': 10 };
const RUNNING_S = {
  'how long the pump runs': 3,
  'whether the pump cycles fast': 2,
  'the step of pressure at start and stop': 1,
  'how long a start takes': 0.09,
  'the current of a start': 0.09,
  'whether the pipes hammer': 0.12,
};
const QUESTIONS = [
  ...Object.entries({ ...REST_S, "the tank's air charge from the fall below it": 2 }).map(
    ([question, needsS]) => ({ question, needsS, key: 'intervalS' as const }),
  ),
  ...Object.entries(RUNNING_S).map(([question, needsS]) => ({
    question,
    needsS,
    key: 'runningIntervalS' as const,
  })),
];

describe('the interval of the readings', () => {
  it.each(QUESTIONS)('$question', ({ question, needsS, key }) => {
    fc.assert(
      fc.property(soundChains, excess, (sound, times) => {
        const at = (factor: number) =>
          findingsOf(withPart(sound, 'sampling', { [key]: needsS * factor })).filter(
            ({ id, says }) => id === 'interval-too-slow' && says.includes(`tell ${question}:`),
          );
        const [wrong] = at(times);
        expect(wrong?.number).toBeCloseTo(needsS * times, 12);
        expect(wrong?.limit).toBe(needsS);
        expect(at(2 - times)).toEqual([]);
      }),
    );
  });

  it('does not matter for a start where the device itself reports it', () => {
    fc.assert(
      fc.property(soundChains, fc.boolean(), fc.boolean(), (sound, startTime, currentPeak) => {
        const slow = { intervalS: 1, startTime, currentPeak };
        const { questions } = checkChain(withPart(sound, 'sampling', slow).chain, sound.context);
        const answerable = (question: string) =>
          questions.find((one) => one.question === question)?.answerable;
        expect(answerable('how long a start takes')).toBe(startTime);
        expect(answerable('the current of a start')).toBe(currentPeak);
        expect(answerable('whether the pipes hammer')).toBe(false);
      }),
    );
  });

  it('knows every question that the report lists', () => {
    fc.assert(
      fc.property(soundChains, ({ chain, context }) => {
        const listed = checkChain(chain, context).questions.map(({ question }) => question);
        expect(listed.toSorted()).toEqual(QUESTIONS.map(({ question }) => question).toSorted());
      }),
      { numRuns: 3 },
    );
  });
});

describe('the window of the RMS value', () => {
  /** Greatest error of the RMS of a sine of any phase, by trying phases. */
  const worstByTrial = (mainsHz: number, rateHz: number, count: number) => {
    let worst = 0;
    for (let degrees = 0; degrees < 180; degrees += 2) {
      let sum = 0;
      for (let i = 0; i < count; i++) {
        const angle = (2 * Math.PI * mainsHz * i) / rateHz + (degrees * Math.PI) / 180;
        sum += Math.sin(angle) ** 2;
      }
      worst = Math.max(worst, 1 - Math.sqrt((2 * sum) / count));
    }
    return worst;
  };

  it('is told where trial shows an error above half a percent, and only there', () => {
    const seen = new Set<boolean>();
    fc.assert(
      fc.property(soundChains, fc.integer({ min: 40, max: 1500 }), (sound, count) => {
        const { rateHz } = sound.chain.converter!;
        const { mainsHz } = sound.chain.sampling!;
        const worst = worstByTrial(mainsHz!, rateHz!, count);
        fc.pre(worst < 0.0049 || worst > 0.0051);
        const windowS = count / rateHz!;
        const isTold = has(withPart(sound, 'sampling', { windowS }), 'window-not-whole-cycles');
        expect(isTold, `${worst}`).toBe(worst > 0.005);
        seen.add(isTold);
      }),
    );
    expect(seen.size).toBe(2);
  });
});

describe('findings', () => {
  it('name a number beyond its limit, and carry the cautions of the work they ask for', () => {
    fc.assert(
      fc.property(
        soundChains,
        fc.constantFrom(...Object.values(SIDES)),
        excess,
        (sound, { at }, times) => {
          for (const { number, limit, says, channel, cautions } of findingsOf(at(sound, times))) {
            expect(number).not.toBe(limit);
            expect(says.length).toBeGreaterThan(40);
            // Work at the transformer is work in the panel.
            if (/bias|burden|conductor/i.test(says) && channel === 'current') {
              expect(cautions).toContain('mains-by-electrician');
              expect(cautions).toContain('transformer-secondary-closed');
            }
          }
        },
      ),
    );
  });

  it('are not made of what is not told: it is said instead', () => {
    const part = <T extends object>(keys: T | null, told: readonly boolean[]) =>
      keys &&
      Object.fromEntries(
        Object.entries(keys).map(([key, value], i) => {
          const isNullable = !Array.isArray(value) && typeof value !== 'boolean';
          return [key, told[i % told.length] || !isNullable ? value : null];
        }),
      );
    const some = fc.array(fc.boolean(), { minLength: 7, maxLength: 7 });
    fc.assert(
      fc.property(soundChains, fc.tuple(some, some, some, some, some), ({ chain, context }, t) => {
        const cut = {
          ...chain,
          pressure: part(chain.pressure, t[0]),
          current: part(chain.current, t[1]),
          converter: part(chain.converter, t[2]),
          bus: part(chain.bus, t[3]),
          sampling: part(chain.sampling, t[4]),
        } as unknown as Chain;
        const { findings, channels } = checkChain(cut, context);
        // Without its bias or supply a chain can look unsound; it never shows what is no number.
        for (const { number, limit, says } of findings) {
          expect(number).not.toBeNaN();
          expect(limit).not.toBeNaN();
          expect(says).not.toMatch(/NaN|undefined|null|Infinity/);
        }
        for (const { links, resolution, budgets } of channels) {
          expect(JSON.stringify(links)).not.toMatch(/NaN|undefined|Infinity/);
          if (resolution !== null) expect(resolution).toBeGreaterThan(0);
          for (const { expanded } of budgets) expect(expanded).toBeGreaterThan(0);
        }
      }),
      { numRuns: 300 },
    );
  });

  it('say what an empty chain lacks', () => {
    const nothing: Chain = {
      pressure: null,
      current: null,
      converter: null,
      bus: null,
      commonGround: null,
      sampling: null,
    };
    const context = { cutInPaGauge: null, cutOutPaGauge: null, reliefPaGauge: null };
    const report = checkChain(nothing, { units: 'si', ...context, runA: null, inrushA: null });
    expect(report.findings).toEqual([]);
    expect(report.channels).toEqual([]);
    expect(report.notJudged.length).toBeGreaterThanOrEqual(4);
  });
});
