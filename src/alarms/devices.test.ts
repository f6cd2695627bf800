import { describe, expect, it } from 'vitest';
import { DeviceWatch } from './devices.ts';

const DAY_S = 86_400;

/** A device that speaks at these times. */
function spoken(timesS: number[], startedS = 0): DeviceWatch {
  const watch = new DeviceWatch([], startedS);
  for (const timeS of timesS) watch.note('tee', timeS);
  return watch;
}
const every = (stepS: number, count: number): number[] =>
  Array.from({ length: count }, (_, i) => i * stepS);

describe('a device is silent', () => {
  it('after ten minutes, where it speaks often', () => {
    const watch = spoken(every(5, 100));
    expect(watch.silent(495 + 600)).toEqual([]);
    expect(watch.silent(495 + 601)).toEqual([{ device: 'tee', sinceS: 495 }]);
  });
  it('after three of its usual longest pauses, where it gathers', () => {
    const watch = spoken(every(3600, 10));
    expect(watch.silent(9 * 3600 + 3 * 3600)).toEqual([]);
    expect(watch.silent(9 * 3600 + 3 * 3600 + 1)).toHaveLength(1);
  });
  it('as soon as ever after one long outage, which is not its way', () => {
    const lastS = 495 + 5 * 3600;
    const watch = spoken([...every(5, 100), lastS]);
    expect(watch.silent(lastS + 601)).toHaveLength(1);
  });
  it('by what was known before, counted from when the service came up', () => {
    const before = spoken(every(5, 100)).states;
    const watch = new DeviceWatch(before, 10_000);
    expect(watch.silent(10_600)).toEqual([]);
    expect(watch.silent(10_601)).toEqual([{ device: 'tee', sinceS: 495 }]);
    // The pause that the service made is not the device's.
    watch.note('tee', 10_601);
    watch.note('tee', 10_606);
    expect(Math.max(...watch.states[0]!.pausesS)).toBeLessThan(602);
  });
});

it('a device that others outlive by a month was replaced', () => {
  const watch = spoken(every(5, 100));
  watch.note('other', 495);
  for (let day = 1; day < 40; day++) watch.note('other', day * DAY_S);
  for (let i = 0; i < 40; i++) watch.note('other', 39 * DAY_S + 5 * i);
  expect(watch.silent(39 * DAY_S + 200)).toEqual([]);
  expect(watch.states.map(({ device }) => device)).toEqual(['other']);
});

it('all of them silent are no sign that one was replaced', () => {
  const watch = spoken(every(5, 100));
  expect(watch.silent(60 * DAY_S)).toHaveLength(1);
  expect(watch.isBlind(60 * DAY_S)).toBe(true);
  expect(new DeviceWatch([], 0).isBlind(60 * DAY_S)).toBe(false);
});
