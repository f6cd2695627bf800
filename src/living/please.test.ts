import { describe, expect, it } from 'vitest';
import { wellOf } from '../../test/study-fixture.ts';
import { plannedTests, TestWatch } from './please.ts';

const T0 = 1_775_433_600;

function watched(everyS: number, count = 10): TestWatch {
  const watch = new TestWatch();
  for (let k = count; k > 0; k--) watch.notePressure(T0 - k * everyS);
  return watch;
}
const fill = { what: 'fill' as const, startS: T0 + 600, stopS: T0 + 1500 };

describe('the readings that a test needs', () => {
  it('are asked for from a quarter of an hour before it, a minute apart, until they come', () => {
    const watch = watched(30);
    const rate = watch.rate([fill], T0, false);
    expect(rate).toMatchObject({ what: 'fill', needsS: 5, getsS: 30, fastEnough: false });
    expect(watch.rate([fill], T0 - 301, false)).toBeNull();
    expect(watch.rate([fill], fill.stopS, false)).toBeNull();
    expect(watch.please(rate, T0)).toEqual({ intervalS: 4, forS: 1500 });
    expect(watch.please(rate, T0 + 59)).toBeNull();
    expect(watch.please(rate, T0 + 60)).toEqual({ intervalS: 4, forS: 1440 });
    for (let s = 61; s < 80; s += 4) watch.notePressure(T0 + s);
    const faster = watch.rate([fill], T0 + 80, false);
    expect(faster).toMatchObject({ getsS: 4, fastEnough: true });
    expect(watch.please(faster, T0 + 200)).toBeNull();
  });

  it('have stopped again where silence grows', () => {
    const watch = watched(4);
    expect(watch.rate([fill], T0, false)).toMatchObject({ fastEnough: true });
    expect(watch.rate([fill], T0 + 20, false)).toMatchObject({ getsS: 12, fastEnough: false });
  });

  it('come by themselves from a device that reports on change', () => {
    expect(watched(30).rate([fill], T0, true)).toMatchObject({ fastEnough: true });
  });

  it('are not judged before there are some', () => {
    const watch = watched(30, 3);
    const rate = watch.rate([fill], T0, false);
    expect(rate).toMatchObject({ getsS: null, fastEnough: null });
    expect(watch.please(rate, T0)).toBeNull();
  });

  it('are those of the most demanding of the tests that are on, asked for or in the file', () => {
    const watch = watched(30);
    const isolation = { what: 'isolation' as const, startS: T0, stopS: T0 + 3600 };
    expect(watch.rate([isolation], T0, false)).toMatchObject({ needsS: 60, fastEnough: true });
    watch.ask({ what: 'calibration', startS: T0, stopS: T0 + 600 });
    const rate = watch.rate([isolation, fill], T0, false);
    expect(rate).toMatchObject({ what: 'calibration', needsS: 1 });
    expect(watch.please(rate, T0)).toEqual({ intervalS: 1, forS: 600 });
    const sounding = { what: 'sounding' as const, startS: T0, stopS: T0 + 60 };
    expect(new TestWatch().rate([sounding], T0, false)).toBeNull();
  });

  it('are known for every test of the well file', () => {
    const well = wellOf({
      bucketTests: [{ startS: 1, stopS: 2, volumeM3: 0.03, volumeM3Std: 0.001 }],
      otherTests: [{ kind: 'drain_test', startS: 3, stopS: 4, measured: {} }],
    });
    expect(plannedTests(well)).toEqual([
      { what: 'bucket', startS: 1, stopS: 2 },
      { what: 'drain', startS: 3, stopS: 4 },
    ]);
  });
});
