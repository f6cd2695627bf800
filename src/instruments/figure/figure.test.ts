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

/** From narrower than any to a wide desk. */
const widths = fc.integer({ min: 100, max: 2000 });

const numbers = (svg: string, pattern: RegExp) =>
  [...svg.matchAll(pattern)].map((m) => Number(m[1]));

describe('the figure of the chain', () => {
  it('shows every box with its words, within the drawing', () => {
    fc.assert(
      fc.property(soundChains, widths, ({ chain, context }, widthPx) => {
        const report = checkChain(chain, context);
        const svg = chainFigureSvg(report, widthPx);
        expectWellFormed(svg);
        const boxes = report.channels.flatMap(({ links }) => links);
        expect(svg.match(/<rect /g)).toHaveLength(boxes.length);
        for (const { name, lines } of boxes) {
          for (const words of [name, ...lines]) expect(svg).toContain(`>${escaped(words)}<`);
        }
        const [, width, height] = /viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(svg) ?? [];
        expect(Number(width)).toBeLessThanOrEqual(Math.max(widthPx, 376));
        const corners = svg.matchAll(
          /<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)"/g,
        );
        const frames = [...corners].map(([, ...four]) => four.map(Number));
        for (const [i, [x = 0, y = 0, w = 0, h = 0]] of frames.entries()) {
          expect(x + w).toBeLessThan(Number(width));
          expect(y + h).toBeLessThan(Number(height));
          // No box lies over another.
          for (const [x2 = 0, y2 = 0, w2 = 0, h2 = 0] of frames.slice(i + 1)) {
            const isApart = x2 >= x + w || x >= x2 + w2 || y2 >= y + h || y >= y2 + h2;
            expect(isApart).toBe(true);
          }
        }
      }),
      { numRuns: 30 },
    );
  });

  it('says under each channel what was found wrong with it, and last what is of both', () => {
    fc.assert(
      fc.property(soundChains, ({ chain, context }) => {
        const small = { ...chain.pressure!, rangePaGauge: context.reliefPaGauge! / 2 };
        const wrong = { ...chain, pressure: small, commonGround: false };
        const svg = chainFigureSvg(checkChain(wrong, context));
        expectWellFormed(svg);
        const places = [
          '>pressure<',
          'destroys: transducer below relief<',
          '>current<',
          '>both channels<',
          'misleads: no common ground<',
        ].map((words) => svg.indexOf(words, svg.indexOf('</desc>')));
        expect(places).toEqual(places.toSorted((a, b) => a - b));
        expect(places[0]).toBeGreaterThan(0);
        expect(chainFigureSvg(checkChain(chain, context))).not.toContain('both channels');
      }),
      { numRuns: 10 },
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
    // Ticks are round numbers within the area.
    const ticks = [...svg.matchAll(/y="([\d.]+)"[^>]*text-anchor="end">([-\d.e]+)</g)];
    expect(ticks.length).toBeGreaterThanOrEqual(3);
    for (const [, y, tick] of ticks) {
      expect(tick).toMatch(/^-?0*\.?0*[125]?0*$/);
      expect(Number(y)).toBeGreaterThan(30);
      expect(Number(y)).toBeLessThan(240);
    }
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
