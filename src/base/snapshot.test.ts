import fc from 'fast-check';
import { expect, it } from 'vitest';
import { decodeState, encodeState } from './snapshot.ts';

it('brings every double back bit for bit', () => {
  fc.assert(
    fc.property(fc.array(fc.double()), (values) => {
      const state = {
        list: values,
        typed: Float64Array.from(values),
        deep: { one: values[0] ?? null },
      };
      expect(decodeState(encodeState(state))).toStrictEqual(state);
    }),
  );
  expect(Object.is(decodeState<number>(encodeState(-0)), -0)).toBe(true);
});
