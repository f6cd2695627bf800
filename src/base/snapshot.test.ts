import fc from 'fast-check';
import { expect, it } from 'vitest';
import { decodeState, encodeState } from './snapshot.ts';

it('brings every double back bit for bit', () => {
  fc.assert(
    fc.property(fc.array(fc.double()), (values) => {
      const state = {
        list: values,
        typed: Float64Array.from(values),
        floats: Float32Array.from(values),
        // Not from the beginning of its buffer.
        part: Float32Array.from([1, ...values]).subarray(1),
        deep: { one: values[0] ?? null },
      };
      expect(decodeState(encodeState(state))).toStrictEqual(state);
    }),
  );
  expect(Object.is(decodeState<number>(encodeState(-0)), -0)).toBe(true);
});
