import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rehearsedRows } from '../../../bench/support/rehearsed-rows.ts';
import { type Chunk, decodeChunk, encodeChunk } from './chunk.ts';
import { findGrid, USUAL_GRIDS } from './grid.ts';

const PSI_PA = 6894.757293168361;

function chunkOf(timeS: number[], value: number[], place: number[] | null = null): Chunk {
  return {
    timeS: Float64Array.from(timeS),
    value: Float64Array.from(value),
    place: place === null ? null : Float64Array.from(place),
  };
}

function expectSame(back: Chunk, chunk: Chunk): void {
  for (const key of ['timeS', 'value'] as const) {
    expect(back[key]).toHaveLength(chunk[key].length);
    back[key].forEach((one, i) => {
      expect(Object.is(one, chunk[key][i]), `${key} ${one} for ${chunk[key][i]}`).toBe(true);
    });
  }
  expect(back.place).toEqual(chunk.place);
}

describe('chunk', () => {
  const doubles = fc.double({ noNaN: true, noDefaultInfinity: true });
  const decimals = fc.integer({ min: -1e6, max: 1e6 }).map((n) => n / 100);
  const steps = fc.integer({ min: 0, max: 4095 }).map((n) => n * 168.2743);
  const times = fc.oneof(fc.integer({ min: 0, max: 3600 }), fc.constant(-0), doubles);

  it('gives every double back bit for bit', () => {
    const kinds = fc.oneof(doubles, decimals, steps, fc.constantFrom(0, -0, 293.15, PSI_PA / 100));
    const readings = fc.array(fc.tuple(times, kinds), { minLength: 1, maxLength: 80 });
    const oneKind = fc
      .constantFrom(decimals, steps)
      .chain((kind) => fc.array(fc.tuple(times, kind), { minLength: 1, maxLength: 80 }));
    fc.assert(
      fc.property(fc.oneof(readings, oneKind), fc.boolean(), (list, placed) => {
        const [timeS, value] = [list.map(([t]) => t), list.map(([, v]) => v)];
        const chunk = chunkOf(timeS, value, placed ? list.map((_, i) => 3 * i) : null);
        expectSame(decodeChunk(encodeChunk(chunk, false), null), chunk);
        const shared = encodeChunk(chunk, true);
        expectSame(decodeChunk(shared, chunk.timeS), chunk);
        expect(() => decodeChunk(shared, null)).toThrow(/times that it shares/);
      }),
    );
  });

  it('throws on bytes cut short or changed, or gives readings of the same count', () => {
    const list = Array.from({ length: 50 }, (_, i) => i);
    const blob = encodeChunk(
      chunkOf(
        list,
        list.map((i) => 40 + (i % 7) / 100),
      ),
      false,
    );
    const at = fc.integer({ min: 0, max: blob.length - 1 });
    fc.assert(
      fc.property(at, fc.integer({ min: 1, max: 255 }), (i, by) => {
        expect(() => decodeChunk(blob.subarray(0, i), null)).toThrow();
        const changed = Uint8Array.from(blob, (byte, k) => (k === i ? byte ^ by : byte));
        try {
          expect(decodeChunk(changed, null).value.length).toBeGreaterThanOrEqual(0);
        } catch (error) {
          expect(error).toBeInstanceOf(Error);
        }
      }),
    );
  });

  it('takes few bytes a reading of a rehearsed well, two decimals of psi and A', () => {
    const { timeS, twoDecimals } = rehearsedRows({ days: 1, restS: 1 });
    const { pressurePa, currentA } = twoDecimals();
    let bytes = 0;
    for (let from = 0; from < timeS.length; from += 3600) {
      const hour = (all: Float64Array) => all.slice(from, from + 3600);
      const [pressure, current] = [hour(pressurePa), hour(currentA)];
      bytes += encodeChunk({ timeS: hour(timeS), value: pressure, place: null }, false).length;
      bytes += encodeChunk({ timeS: hour(timeS), value: current, place: null }, true).length;
    }
    expect(bytes / (2 * timeS.length)).toBeLessThan(0.55);
  });
});

describe('findGrid', () => {
  const on = (list: number[]) => findGrid(Float64Array.from(list));
  it('finds the steps that values were made with, the coarsest that hold', () => {
    const counts = Array.from({ length: 60 }, (_, i) => 4000 + ((37 * i) % 101));
    expect(on(counts.map((n) => n / 100))).toEqual({ divisor: 100, scale: 1, offset: 0 });
    expect(on(counts.map((n) => (n / 100) * PSI_PA))).toEqual({
      ...{ divisor: 100, scale: PSI_PA, offset: 0 },
    });
    expect(on(counts.map((n) => n / 1000 + 273.15))?.offset).toBe(273.15);
    expect(on(counts.map((n) => n * 168.2743))).toEqual({ divisor: 1, scale: 168.2743, offset: 0 });
    expect(on(counts.map((n) => Math.sqrt(n)))).toBeNull();
  });
  it('numbers the usual grids as docs/formats/store.md says', () => {
    expect(USUAL_GRIDS).toHaveLength(35);
    expect(USUAL_GRIDS[9]).toEqual({ divisor: 100, scale: PSI_PA, offset: 0 });
    expect(USUAL_GRIDS[28]).toEqual({ divisor: 1, scale: 1, offset: 273.15 });
  });
});
