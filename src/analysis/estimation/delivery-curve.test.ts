import { describe, expect, it } from 'vitest';
import { deliveryAt, deliveryStdAt, onCurve } from './delivery-curve.ts';

const DELIVERY = { b0: 2, b1: -0.5, v00: 0.04, v01: -0.01, v11: 0.01 };

describe('the delivery curve', () => {
  it('is a parabola through mid band, level beyond its ends', () => {
    expect(deliveryAt(DELIVERY, -0.1, 0)).toBe(2);
    // By hand: 2 (1 - 0.1) - 0.5 and 2 (1 - 0.1) + 0.5.
    expect(deliveryAt(DELIVERY, -0.1, 1)).toBeCloseTo(1.3, 12);
    expect(deliveryAt(DELIVERY, -0.1, -1)).toBeCloseTo(2.3, 12);
    expect([onCurve(3), onCurve(-9), onCurve(1)]).toEqual([2.5, -2.5, 1]);
    expect(onCurve(NaN)).toBeNaN();
  });

  it('is as uncertain as b0 + b1 x with that covariance', () => {
    // By hand: 0.04 - 2 * 0.01 + 0.01 = 0.03.
    expect(deliveryStdAt(DELIVERY, 1)).toBeCloseTo(Math.sqrt(0.03), 12);
    expect(deliveryStdAt(DELIVERY, 0)).toBeCloseTo(0.2, 12);
  });
});
