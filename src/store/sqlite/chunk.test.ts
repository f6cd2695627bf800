import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { inTwoDecimals, rehearsedRows } from '../../../bench/support/rehearsed-rows.ts';
import { encodeVersion1 } from '../../../test/store/version-1.ts';
import { decodeChunk, encodeChunk } from './chunk.ts';
import type { Chunk } from './chunk-parts.ts';
import { fromVersion1 } from './chunk-version-1.ts';
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

  it('of version 1 is brought to what is written now', () => {
    const numbers = [...Array(12).keys()];
    const timeS = numbers.map((i) => 1_775_433_600 + 5 * i + (i > 6 ? 0.5 : 0));
    const pressure = numbers.map((i) =>
      i === 4 ? Math.PI : ((5845 + ((i * 37) % 11)) / 100) * PSI_PA,
    );
    const places = numbers.map((i) => 2 * i + (i > 3 ? 1 : 0));
    // What version 1 wrote, kept as it was.
    const first =
      'KLUv/SA72QEAAQwUgKzto4QBZAAAAAAAAAoAAAAAC6pbCAgNABANCAgNCA0B' +
      'BBgtRFT7IQlAAQAEAAAAAgAAAAAAAAA=';
    const second =
      'KLUv/SBlKQMAAQwBAAAAzaoAqC7qzQBTNAAAO0wA9CH4OwBbbwAAf1gAlwnSfwDa/QAAZugAmxSpZgA6' +
      'kwAAnnoAd45/ngBYcgAAoLYA45gqoABMiADw9vsAAQMFBggJCgA/Pz9AQEBAQEBAQAA=';
    const chunk = chunkOf(timeS, pressure, places);
    expect(Buffer.from(encodeVersion1(chunk, false)).toString('base64')).toBe(first);
    expectSame(decodeChunk(fromVersion1(Buffer.from(first, 'base64')), null), chunk);
    const roots = chunkOf(timeS, numbers.map(Math.sqrt));
    expectSame(decodeChunk(fromVersion1(Buffer.from(second, 'base64')), roots.timeS), roots);
    const damaged = Buffer.from(first, 'base64').subarray(0, -9);
    expect(fromVersion1(damaged)).toBe(damaged);
  });

  it('throws on bytes cut short or changed', () => {
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
        expect(() => decodeChunk(changed, null)).toThrow();
      }),
    );
  });

  it('takes few bytes a reading of a rehearsed well, two decimals of psi and A', () => {
    const rows = rehearsedRows({ days: 1, restS: 1 });
    const { timeS, pressurePa, currentA } = inTwoDecimals(rows);
    let bytes = 0;
    for (let from = 0; from < timeS.length; from += 3600) {
      const hour = (all: Float64Array) => all.slice(from, from + 3600);
      const [pressure, current] = [hour(pressurePa), hour(currentA)];
      bytes += encodeChunk({ timeS: hour(timeS), value: pressure, place: null }, false).length;
      bytes += encodeChunk({ timeS: hour(timeS), value: current, place: null }, true).length;
    }
    expect(bytes / (2 * timeS.length)).toBeLessThan(0.5);
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
    expect(on(counts.map((n) => (n * 10) / 1024))).toEqual({
      ...{ divisor: 1, scale: 10 / 1024, offset: 0 },
    });
    expect(on(counts.map((n) => Math.sqrt(n)))).toBeNull();
  });
  it('numbers the usual grids as docs/formats/store.md says', () => {
    expect(USUAL_GRIDS).toHaveLength(35);
    expect(USUAL_GRIDS[9]).toEqual({ divisor: 100, scale: PSI_PA, offset: 0 });
    expect(USUAL_GRIDS[28]).toEqual({ divisor: 1, scale: 1, offset: 273.15 });
  });
});
