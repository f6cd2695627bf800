import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { soundChains } from '../../../test/support/sound-chains.ts';
import { calibrate } from '../calibrate/calibrate.ts';
import { checkChain } from '../chain/check-chain.ts';
import { chainFigureSvg } from './chain-figure.ts';
import { residualFigureSvg } from './residual-figure.ts';
import { element, escaped } from './svg.ts';

/** Every opened tag is closed in order, and nothing that is no number stands in it. */
function expectWellFormed(svg: string): void {
  const open: string[] = [];
  for (const [, close, name = '', self] of svg.matchAll(/<(\/?)([a-z]+)[^>]*?(\/?)>/g)) {
    if (close) expect(open.pop()).toBe(name);
    else if (!self) open.push(name);
  }
  expect(open).toEqual([]);
  expect(svg).not.toMatch(/NaN|Infinity|undefined/);
  expect(svg).toMatch(/^<svg [^>]*role="img"/);
  expect(svg).toContain('<title>');
  expect(svg).toMatch(/<desc>[^<]{10,}<\/desc>/);
}

const numbers = (svg: string, pattern: RegExp) =>
  [...svg.matchAll(pattern)].map((m) => Number(m[1]));

describe('the figure of the chain', () => {
  it('shows every box with its words, within the drawing', () => {
    fc.assert(
      fc.property(soundChains, ({ chain, context }) => {
        const report = checkChain(chain, context);
        const svg = chainFigureSvg(report);
        expectWellFormed(svg);
        const boxes = report.channels.flatMap(({ links }) => links);
        expect(svg.match(/<rect /g)).toHaveLength(boxes.length);
        for (const { name, lines } of boxes) {
          for (const words of [name, ...lines]) expect(svg).toContain(`>${escaped(words)}<`);
        }
        const [, width, height] = /viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(svg) ?? [];
        for (const y of numbers(svg, / y="([\d.-]+)"/g)) expect(y).toBeLessThan(Number(height));
        for (const x of numbers(svg, / x="([\d.-]+)"/g)) expect(x).toBeLessThan(Number(width));
      }),
      { numRuns: 30 },
    );
  });

  it('is a drawing without a chain too', () => {
    const nothing = { pressure: null, current: null, converter: null, bus: null, sampling: null };
    const none = { cutInPaGauge: null, cutOutPaGauge: null, reliefPaGauge: null };
    const context = { units: 'us', ...none, runA: null, inrushA: null } as const;
    expectWellFormed(chainFigureSvg(checkChain({ ...nothing, commonGround: null }, context)));
  });
});

describe('the figure of the residuals', () => {
  const options = { channel: 'current', raw: 'V', units: 'us', use: null } as const;
  const pairs = [0, 2, 4, 6, 8].map((amps, i) => ({
    raw: amps / 20,
    rawStd: 0.001,
    reference: amps + (i === 2 ? 0.1 : 0),
    referenceStd: 0.05,
    atS: null,
  }));

  it('has a mark for each point, above the line where the reference is above it', () => {
    const report = calibrate(pairs, options);
    const svg = residualFigureSvg(report);
    expectWellFormed(svg);
    const heights = numbers(svg, /cy="([\d.]+)"/g);
    expect(heights).toHaveLength(5);
    const zero = numbers(svg, /y1="([\d.]+)"[^>]*stroke-dasharray/g)[0] ?? Number.NaN;
    for (const [i, { residual }] of report.residuals.entries()) {
      expect(Math.sign(zero - heights[i]!)).toBe(Math.sign(residual));
    }
    const across = numbers(svg, /cx="([\d.]+)"/g);
    expect(across).toEqual(across.toSorted((a, b) => a - b));
    expect(svg).toContain('reference, A');
  });

  it('says why there is none', () => {
    const svg = residualFigureSvg(calibrate(pairs.slice(0, 1), options));
    expectWellFormed(svg);
    expect(svg).toContain('one point fixes no line');
  });

  it('stands points that all lie on the line', () => {
    const exact = pairs.map((one) => ({
      ...one,
      reference: 20 * one.raw,
      referenceStd: 0,
      rawStd: 0,
    }));
    expectWellFormed(residualFigureSvg(calibrate(exact, options)));
  });
});

it('escapes what would be markup', () => {
  expect(element('text', { x: 1.26, title: 'a"b' }, escaped('<b>&\u0007'))).toBe(
    '<text x="1.3" title="a&quot;b">&lt;b&gt;&amp; </text>',
  );
});
