import { describe, expect, it } from 'vitest';
import { studyText } from '../../src/report/study-text.ts';
import { figureOf, lnOf, logOf, only } from '../support/owner-tests.ts';
import { type Asked, studied } from '../support/rehearsed-log.ts';

// The keeper's tests on rehearsed wells, with the fault that each should find and with another.

const PSI_PA = 6894.757293168361;
const GPM = 6.30901964e-5;

describe('an isolation test', () => {
  const ISOLATION: NonNullable<Asked['tests']> = [['isolation_test', 3.6]];
  it('puts a leak of 0.03 gpm in the house, and the share into the days that lose alike', () => {
    const log = logOf('B', 31, ISOLATION, 'leak-house', 0.2);
    const study = studied(log);
    const entry = only(study, 'isolation');
    expect(entry.unusable).toBeNull();
    expect(Math.abs(figureOf(entry, 'lost with the house valve shut').value / GPM)).toBeLessThan(
      0.005,
    );
    const open = figureOf(entry, 'lost with the house valve open').value / GPM;
    expect(Math.abs(open - 0.03)).toBeLessThan(0.003);
    expect(lnOf(entry, 'leak-house')).toBe(0);
    expect(lnOf(entry, 'leak-before-house-valve')).toBeLessThan(-5);
    const shares = study.days.map((day) => day.lossHouseShare);
    expect(shares[0]).toBeNull();
    expect(shares[3]).toBeGreaterThan(0.9);
    expect(studyText(study, log.well)).toContain('Tests made');
  });
  it('puts a leak before the valve where it is', () => {
    const entry = only(
      studied(logOf('C', 32, ISOLATION, 'leak-before-house-valve', 0.3)),
      'isolation',
    );
    expect(figureOf(entry, 'share of the loss').value).toBeLessThan(0.2);
    expect(lnOf(entry, 'leak-house')).toBeLessThan(-2);
  });
  it('speaks against a leak in a sound well', () => {
    const entry = only(studied(logOf('H', 33, ISOLATION)), 'isolation');
    for (const { logLikelihood } of entry.bearing) expect(logLikelihood).toBeLessThan(-4);
  });
});

describe('a drain test and a precharge test', () => {
  const AIR: NonNullable<Asked['tests']> = [
    ['precharge_test', 3.5],
    ['drain_test', 3.6],
  ];
  it.each([
    ['precharge-low', 'tank-waterlogged'],
    ['tank-waterlogged', 'precharge-low'],
    ['precharge-high', 'precharge-low'],
  ] as const)('find %s and not %s', (fault, other) => {
    const study = studied(logOf('E', 34, AIR, fault));
    for (const test of ['precharge', 'drain'] as const) {
      expect(lnOf(only(study, test), fault), test).toBeGreaterThan(-0.7);
      expect(lnOf(only(study, test), other), test).toBeLessThan(-3);
    }
  });
  it('agree on the air of a sound tank, and find a sensor that drifted', () => {
    const sound = studied(logOf('K', 35, AIR));
    const knee = figureOf(only(sound, 'drain'), 'precharge where');
    const gauge = figureOf(only(sound, 'precharge'), 'precharge by');
    expect(Math.abs(knee.value - gauge.value) / PSI_PA).toBeLessThan(3);
    expect(lnOf(only(sound, 'drain'), 'precharge-low')).toBeLessThan(-3);
    const drifted = only(studied(logOf('K', 35, AIR, 'pressure-drift')), 'drain');
    expect(figureOf(drifted, 'reading of the drained').value / PSI_PA).toBeCloseTo(5, 0);
    expect(lnOf(drifted, 'switch-drift')).toBeLessThan(-5);
  });
});
