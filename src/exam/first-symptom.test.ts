import { describe, expect, it } from 'vitest';
import { FAULT_NAMES } from '../model/faults.ts';
import { FIRST_SYMPTOMS, type Moment, SymptomWatch, type WatchedFault } from './first-symptom.ts';

const still: Moment = {
  timeS: 0,
  running: false,
  pressurePaGauge: 350e3,
  usedM3PerS: 0,
  deliveredM3PerS: 0,
  reliefM3PerS: 0,
  gasShare: 0,
  protectorOpen: false,
  pressureStuck: false,
  steadyUse: false,
  cutInPaGauge: 276e3,
  cutOutPaGauge: 414e3,
  shortestRunS: 60,
};

/** A day of moments, 10 s apart. */
function seen(fault: Partial<WatchedFault>, at: (timeS: number) => Partial<Moment>) {
  const watch = new SymptomWatch({
    name: 'pump-dragging',
    onsetS: 1000,
    growthS: 0,
    severity: 1,
    ...fault,
  });
  for (let timeS = 0; timeS < 86_400; timeS += 10) watch.follow({ ...still, timeS, ...at(timeS) });
  return watch.seenS;
}

const runsAt = (fromS: number, toS: number) => (t: number) => ({ running: t >= fromS && t < toS });

describe('the first symptom', () => {
  it('has an entry for each fault', () => {
    const named = FAULT_NAMES.filter((name) => name !== 'unknown-trouble');
    expect(Object.keys(FIRST_SYMPTOMS)).toEqual(named);
  });
  it('of a pump is its next run, not one before the onset', () => {
    expect(seen({}, (t) => ({ running: t < 500 || (t >= 5000 && t < 5100) }))).toBe(5000);
  });
  it('of a fault that grows waits until it has grown enough', () => {
    const always = () => ({ running: true });
    expect(seen({ growthS: 10_000 }, always)).toBe(3500);
    expect(seen({ growthS: 10_000, severity: 0.5 }, always)).toBe(6000);
    expect(seen({ growthS: 10_000, severity: 0.2 }, always)).toBeNull();
  });
  it('of a pump that brings less is half a minute with a tenth less than it brought', () => {
    const brings = (after: number) => (t: number) => ({
      running: t % 500 < 100,
      deliveredM3PerS: t < 1000 ? 1e-3 : after,
    });
    expect(seen({ name: 'pump-worn' }, brings(0.89e-3))).toBe(1030);
    expect(seen({ name: 'pump-worn' }, brings(0.91e-3))).toBeNull();
    expect(seen({ name: 'pump-worn', onsetS: 0 }, brings(0.89e-3))).toBe(0);
  });
  it('of a leak is five minutes of rest', () => {
    expect(seen({ name: 'leak-house' }, runsAt(900, 1500))).toBe(1800);
  });
  it('of a gap is none where no reading came before it', () => {
    expect(seen({ name: 'data-gap' }, () => ({}))).toBe(1000);
    expect(seen({ name: 'data-gap', onsetS: 0 }, () => ({}))).toBeNull();
  });
  it('of a reading that stands still is the pump running meanwhile', () => {
    const stuck = (t: number) => ({ running: t % 1000 < 100, pressureStuck: t % 900 >= 850 });
    expect(seen({ name: 'adc-stuck' }, stuck)).toBe(8050);
    expect(seen({ name: 'adc-stuck' }, () => ({ pressureStuck: true }))).toBeNull();
  });
  it('of a pump too big for the tank is the end of a run that was too short', () => {
    const runs = (forS: number) => (t: number) => ({ running: t % 600 < forS });
    expect(seen({ name: 'tank-undersized' }, runs(50))).toBe(1250);
    expect(seen({ name: 'tank-undersized' }, runs(70))).toBeNull();
  });
  it('of a switch that stays open is pressure below cut-in with the pump off', () => {
    const falls = (t: number) => ({ pressurePaGauge: 350e3 - 10 * t });
    expect(seen({ name: 'switch-no-start' }, falls)).toBe(8780);
  });
  it('of a welded switch is pressure above cut-out with the pump on', () => {
    const climbs = (t: number) => ({ running: true, pressurePaGauge: 350e3 + 10 * t });
    expect(seen({ name: 'switch-welded' }, climbs)).toBe(7780);
  });
  it('of heavy use is an hour of it', () => {
    expect(seen({ name: 'heavy-use' }, (t) => ({ steadyUse: t >= 2000 }))).toBe(5600);
  });
  it('of a tripped motor, of gas and of the relief valve is the thing itself', () => {
    const from = (t: number) => t >= 7000;
    expect(seen({ name: 'overload-tripping' }, (t) => ({ protectorOpen: from(t) }))).toBe(7000);
    expect(seen({ name: 'running-dry' }, (t) => ({ gasShare: from(t) ? 0.5 : 0 }))).toBe(7000);
    expect(seen({ name: 'relief-lifting' }, (t) => ({ reliefM3PerS: from(t) ? 1 : 0 }))).toBe(7000);
  });
});
