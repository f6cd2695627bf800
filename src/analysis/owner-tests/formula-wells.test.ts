import { describe, expect, it } from 'vitest';
import {
  GALLON_M3,
  GPM,
  jobOf,
  PSI_PA,
  type Reading,
  scatter,
} from '../../../test/support/formula-tests.ts';
import type { FaultName } from '../../model/faults.ts';
import type { OtherTest } from '../../model/well.ts';
import { evaluateDrain } from './drain.ts';
import { evaluateFill } from './fill.ts';
import { evaluateIsolation } from './isolation.ts';
import { evaluatePrecharge } from './precharge.ts';
import { evaluateRecovery } from './recovery.ts';
import { evaluateSounding } from './sounding.ts';
import { evaluateThrottle } from './throttle.ts';
import type { TestOutcome } from './types.ts';

// Wells made by formula alone: Boyle's law for the tank, a casing as one tank for the well.

const ATMOSPHERE_PSI = 14.6959;
const figureOf = (outcome: TestOutcome, what: RegExp) => {
  const found = outcome.found.find((one) => what.test(one.what));
  if (found === undefined) throw new Error(`${what}: ${JSON.stringify(outcome)}`);
  return found;
};
const lnOf = (outcome: TestOutcome, fault: FaultName): number =>
  outcome.bearing.find((one) => one.fault === fault)?.logLikelihood ?? NaN;
const test = (parts: Partial<OtherTest> & Pick<OtherTest, 'kind'>): OtherTest => ({
  startS: 0,
  stopS: 1800,
  measured: {},
  ...parts,
});

describe('isolation', () => {
  const TANK = 2319; // 44 gal at 38 psi precharge: 52.7 psi absolute times 44 gal
  const rest = (gpm: number, fromS: number): Reading[] =>
    Array.from({ length: 361 }, (_, i) => {
      const gas = TANK / (58 + ATMOSPHERE_PSI) + (gpm * (i * 5)) / 60;
      return [fromS + i * 5, TANK / gas - ATMOSPHERE_PSI + scatter(i, 0.03), 0, false];
    });
  const window = (shut: boolean, gpm: number, fromS: number) =>
    jobOf({
      test: test({
        kind: 'isolation_test',
        startS: fromS,
        stopS: fromS + 1800,
        measured: { houseValveShut: shut ? 1 : 0 },
      }),
      readings: rest(gpm, fromS),
      tankPsiGal: TANK,
    });
  const outcome = (shutGpm: number, openGpm: number) =>
    evaluateIsolation([window(true, shutGpm, 0), window(false, openGpm, 1800)]);

  it.each([
    [0, 0.05],
    [0, 0.5],
    [0.1, 0.1],
    [0.05, 0.2],
  ])('tells %s gpm with the valve shut from %s gpm with it open', (shutGpm, openGpm) => {
    const result = outcome(shutGpm, openGpm);
    expect(result.unusable).toBeNull();
    // Told at 50 psi, the middle of the band, of what left at the pressure half way through.
    const at50 = (gpm: number) => {
      const psi = TANK / (TANK / (58 + ATMOSPHERE_PSI) + 15 * gpm) - ATMOSPHERE_PSI;
      return gpm * Math.sqrt(50 / psi);
    };
    const shut = figureOf(result, /valve shut/);
    const open = figureOf(result, /valve open/);
    expect(Math.abs(shut.value / GPM - at50(shutGpm))).toBeLessThan(0.03 * openGpm);
    expect(Math.abs(open.value / GPM - at50(openGpm))).toBeLessThan(0.03 * openGpm);
    const share = figureOf(result, /house side/);
    expect(Math.abs(share.value - (1 - shutGpm / openGpm))).toBeLessThan(2.5 * share.std! + 0.01);
  });
  it('speaks for the side that leaks', () => {
    const house = outcome(0, 0.1);
    expect(lnOf(house, 'leak-house')).toBe(0);
    expect(lnOf(house, 'leak-before-house-valve')).toBeLessThan(-6);
    const well = outcome(0.1, 0.1);
    expect(lnOf(well, 'leak-house')).toBeLessThan(-2);
    expect(Math.max(lnOf(well, 'check-valve-leak'), lnOf(well, 'leak-before-house-valve'))).toBe(0);
    const uneven = outcome(0.15, 0.1);
    expect(lnOf(uneven, 'check-valve-leak')).toBeGreaterThan(
      lnOf(uneven, 'leak-before-house-valve') + 1,
    );
  });
  it('speaks against all of them where nothing is lost', () => {
    const { bearing } = outcome(0, 0);
    expect(bearing.length).toBe(4);
    for (const { logLikelihood } of bearing) expect(logLikelihood).toBeLessThan(-4);
  });
  it('says in words why it cannot be used', () => {
    const open = window(false, 0.1, 0);
    expect(evaluateIsolation([open]).unusable).toContain('no window has the house valve shut');
    const shut = window(true, 0.1, 0);
    const { bins } = shut.record;
    const without = { ...shut, record: { ...shut.record, bins: [] } };
    expect(evaluateIsolation([without]).unusable).toContain('the log has no pressure');
    for (let i = 3; i < bins.length; i += 5) bins[i] = i % 200 < 10 ? 1 : 0;
    expect(evaluateIsolation([shut]).unusable).toContain('the pump left no ten minutes of rest');
  });
  it('goes by the usual loss where no window has the valve open', () => {
    const alone = window(true, 0, 0);
    const usual = { ...alone.before, lossPerMin: 0.003, lossStd: 1e-4 };
    expect(lnOf(evaluateIsolation([{ ...alone, before: usual }]), 'leak-house')).toBe(0);
  });
});

describe('drain', () => {
  /**
   * The trade's worked example: 85 gal with 28 psi of air gives 25.1 gal from 50 to 30 psi
   * (pressure tank column in The Driller; read). Drained at 2 gpm at 50 psi through one tap.
   */
  const drained = (prechargePsi: number, options: { zeroPsi?: number; restPsi?: number } = {}) => {
    const { zeroPsi = 0, restPsi = 50 } = options;
    const gasPsiGal = (prechargePsi + ATMOSPHERE_PSI) * 85;
    let gas = gasPsiGal / (restPsi + ATMOSPHERE_PSI);
    let psi = restPsi;
    let gone = 0;
    const readings: Reading[] = [];
    for (let t = -300; t < 3000; t += 0.5) {
      const gpm = t < 0 ? 0 : 2 * Math.sqrt(Math.max(psi, 0) / 50);
      if (gas < 85) {
        gas += (gpm * 0.5) / 60;
        gone += (gpm * 0.5) / 60;
        psi = gasPsiGal / gas - ATMOSPHERE_PSI;
      } else psi -= (gpm * 0.5) / 60 / 0.02; // the pipes' own give, 0.02 gal/psi
      if ((t * 2) % 10 === 0)
        readings.push([t, Math.max(psi, 0) + zeroPsi + scatter(t, 0.02), 0, false]);
    }
    return { readings, gone };
  };
  const outcome = (prechargePsi: number, options?: { zeroPsi?: number; restPsi?: number }) => {
    const { readings, gone } = drained(prechargePsi, options);
    return evaluateDrain(
      jobOf({
        test: test({
          kind: 'drain_test',
          stopS: 2900,
          measured: { volumeM3: gone * GALLON_M3, volumeM3Std: 0.01 * gone * GALLON_M3 },
        }),
        readings,
        before: { cutInPaGauge: (30 + (options?.zeroPsi ?? 0)) * PSI_PA },
      }),
    );
  };
  it('finds the precharge and the tank of the worked example', () => {
    const result = outcome(28);
    expect(result.unusable).toBeNull();
    const knee = figureOf(result, /precharge where/);
    expect(knee.value / PSI_PA).toBeCloseTo(28, 0);
    expect(knee.std! / PSI_PA).toBeLessThan(1);
    const tank = figureOf(result, /tank constant/);
    const gallons = tank.value / PSI_PA / GALLON_M3;
    const drawdown = gallons * (1 / (30 + 14.7) - 1 / (50 + 14.7));
    expect(Math.abs(drawdown / 25.1 - 1)).toBeLessThan(0.015);
    expect(figureOf(result, /drained pipes/).value / PSI_PA).toBeCloseTo(0, 0);
    for (const fault of ['precharge-low', 'precharge-high', 'tank-waterlogged'] as const)
      expect(lnOf(result, fault), fault).toBeLessThan(-3);
    expect(lnOf(result, 'pressure-drift')).toBeLessThan(-1);
  });
  it.each([
    [15, 'precharge-low'],
    [38, 'precharge-high'],
  ] as const)('names an air charge of %s psi', (psi, fault) => {
    const result = outcome(psi);
    expect(figureOf(result, /precharge where/).value / PSI_PA).toBeCloseTo(psi, 0);
    expect(lnOf(result, fault)).toBe(0);
    const others = result.bearing.filter((one) => /precharge|waterlogged/.test(one.fault));
    for (const one of others.filter((other) => other.fault !== fault))
      expect(one.logLikelihood, one.fault).toBeLessThan(-3);
  });
  it('finds a sensor that reads 6 psi too much, and lays it on the sensor', () => {
    const result = outcome(28, { zeroPsi: 6 });
    expect(figureOf(result, /drained pipes/).value / PSI_PA).toBeCloseTo(6, 0);
    expect(lnOf(result, 'pressure-drift')).toBe(0);
    expect(lnOf(result, 'switch-drift')).toBeLessThan(-6);
    expect(lnOf(result, 'precharge-high')).toBeLessThan(-2);
  });
  it('says why it cannot be used', () => {
    const { readings } = drained(28);
    const asked = test({ kind: 'drain_test', stopS: 2900 });
    const on = readings.map(([t, p, a]): Reading => [t, p, a, t > 800 && t < 900]);
    expect(evaluateDrain(jobOf({ test: asked, readings: on })).unusable).toContain('breaker');
    const few = readings.filter((_, i) => i % 60 === 0);
    expect(evaluateDrain(jobOf({ test: asked, readings: few })).unusable).not.toBeNull();
    const early = readings.filter(([t]) => t < 200);
    const short = test({ kind: 'drain_test', stopS: 190 });
    expect(evaluateDrain(jobOf({ test: short, readings: early })).unusable).not.toBeNull();
    expect(evaluateDrain(jobOf({ test: asked, readings: [] })).unusable).toContain('no pressure');
  });
});

describe('precharge', () => {
  const outcome = (psi: number) =>
    evaluatePrecharge(
      jobOf({
        test: test({
          kind: 'precharge_test',
          measured: { pressurePaGauge: psi * PSI_PA, pressurePaGaugeStd: PSI_PA },
        }),
        readings: [],
      }),
    );
  // 2 psi below cut-in is wanted (Water Systems Council sheet on pressure tanks, 2007; read).
  it.each([
    [38, null],
    [25, 'precharge-low'],
    [47, 'precharge-high'],
    [0, 'tank-waterlogged'],
  ] as const)('%s psi at a cut-in of 40', (psi, fault) => {
    const result = outcome(psi);
    expect(figureOf(result, /wanted/).value / PSI_PA).toBeCloseTo(38, 6);
    for (const name of ['precharge-low', 'precharge-high', 'tank-waterlogged'] as const)
      if (name === fault) expect(lnOf(result, name), name).toBe(0);
      else expect(lnOf(result, name), name).toBeLessThan(-3);
  });
  it('needs a cut-in', () => {
    const job = jobOf({
      test: test({
        kind: 'precharge_test',
        measured: { pressurePaGauge: 2e5, pressurePaGaugeStd: 7e3 },
      }),
      readings: [],
      before: { cutInPaGauge: NaN },
    });
    expect(evaluatePrecharge(job).unusable).toContain('at what pressure the pump cuts in');
  });
});

describe('fill', () => {
  const TANK = 2319;
  /** Three fills at so many gpm at 50 psi, 1 % less a psi, without friction or warmth. */
  const fills = (gpm: number) => {
    const readings: Reading[] = [];
    let t = 100;
    for (let k = 0; k < 3; k++) {
      let gas = TANK / (40 + ATMOSPHERE_PSI);
      let psi = 40;
      readings.push([t - 5, 40, 0, false]);
      for (; psi < 60; t += 1) {
        gas -= (gpm * (1 - 0.01 * (psi - 50))) / 60;
        psi = TANK / gas - ATMOSPHERE_PSI;
        readings.push([t, psi + scatter(t, 0.02), 8 - 0.02 * (psi - 50), true]);
      }
      for (let i = 0; i < 30; i++, t += 5) readings.push([t, 60 + scatter(t, 0.02), 0, false]);
    }
    const unit = TANK / (50 + ATMOSPHERE_PSI);
    return evaluateFill(
      jobOf({
        test: test({ kind: 'fill_test', stopS: t }),
        readings,
        tankPsiGal: TANK,
        before: { learntB0: 10 / unit, b0: 10 / unit, b1: -1 / unit },
      }),
    );
  };
  it('measures delivery, amps and their course', () => {
    const result = fills(10);
    expect(figureOf(result, /half way/).value / GPM).toBeCloseTo(10, 0);
    expect(figureOf(result, /at cut-in/).value / GPM).toBeCloseTo(11, 0);
    expect(figureOf(result, /amps/).value).toBeCloseTo(8, 1);
    expect(figureOf(result, /when learnt/).value).toBeCloseTo(1, 1);
    expect(lnOf(result, 'pump-worn')).toBeLessThan(-0.5);
    expect(lnOf(result, 'heavy-use')).toBe(0);
  });
  it('tells a weak pump from water that was drawn', () => {
    const result = fills(8);
    expect(figureOf(result, /when learnt/).value).toBeCloseTo(0.8, 1);
    expect(lnOf(result, 'pump-worn')).toBe(0);
    expect(lnOf(result, 'heavy-use')).toBeLessThan(-3);
  });
  it('says why it cannot be used', () => {
    const asked = test({ kind: 'fill_test' });
    const none = evaluateFill(jobOf({ test: asked, readings: [[10, 50, 0, false]] }));
    expect(none.unusable).toContain('no whole pump run');
    expect(evaluateFill(jobOf({ test: asked, readings: [] })).unusable).toContain('no pressure');
  });
});

describe('throttle', () => {
  /** Tee pressure over flow of a pump: psi = 110 - 0.6 q2, changed as the fault changes it. */
  const sweep = (psiLess: (gpm: number) => number) => {
    const points = [22, 32, 43, 52, 22].map((goal) => {
      let low = 0.5;
      let high = 15;
      for (let k = 0; k < 60; k++) {
        const gpm = 0.5 * (low + high);
        if (110 - 0.6 * gpm * gpm - psiLess(gpm) > goal) low = gpm;
        else high = gpm;
      }
      const flowM3PerS = low * GPM;
      return {
        pressurePaGauge: goal * PSI_PA,
        pressurePaGaugeStd: 0.5 * PSI_PA,
        flowM3PerS,
        flowM3PerSStd: 0.02 * flowM3PerS,
      };
    });
    return jobOf({
      test: test({ kind: 'throttle_test', points }),
      readings: [],
      toml: '[pump]\nrated_flow = "10 gpm"\n[well]\nstatic_level = "80 ft"\n',
    });
  };
  const sound = sweep(() => 0);
  it('parts a choke from a level beside an earlier sweep', () => {
    const choked = evaluateThrottle(
      sweep((gpm) => 0.25 * gpm * gpm),
      sound,
    );
    expect(lnOf(choked, 'valve-part-shut')).toBe(0);
    expect(lnOf(choked, 'static-level-falling')).toBeLessThan(-1);
    const fallen = evaluateThrottle(
      sweep(() => 18),
      sound,
    );
    expect(lnOf(fallen, 'static-level-falling')).toBeGreaterThan(-1);
    expect(lnOf(fallen, 'intake-clogged')).toBeLessThan(-0.5);
  });
  it('speaks against all where nothing changed', () => {
    const same = evaluateThrottle(sound, sound);
    expect(figureOf(same, /last test/).value).toBeCloseTo(1, 2);
    for (const { logLikelihood } of same.bearing) expect(logLikelihood).toBeLessThan(-0.7);
  });
  it('says why it cannot be used', () => {
    const few = { ...sound, test: { ...sound.test, points: sound.test.points!.slice(0, 2) } };
    expect(evaluateThrottle(few, null).unusable).toContain('it has 2 points');
    const first = sound.test.points![0]!;
    const near = { ...sound, test: { ...sound.test, points: [first, first, first] } };
    expect(evaluateThrottle(near, null).unusable).toContain('8 psi');
  });
});

describe('recovery', () => {
  // 8.5 gpm is more than the pump gives of a falling level: it runs all through the draw.
  it.each([4, 8.5])('finds the capacity of a casing drawn at %d gpm', (hoseGpm) => {
    const TANK = 2319;
    const [capacity, areaGalPerFt] = [0.1, 1.4];
    const readings: Reading[] = [];
    let [gas, psi, drawnFt, on] = [TANK / (60 + ATMOSPHERE_PSI), 60, 0, false];
    for (let t = -200; t < 9000; t += 1) {
      const hose = t >= 0 && t < 1800 ? hoseGpm * Math.sqrt(psi / 50) : 0;
      if (psi < 40) on = true;
      if (psi > 60) on = false;
      // 1 % of delivery a psi, and a foot of level is 1/2.31 psi.
      const pump = on ? 10 * (1 - 0.01 * (psi - 50 + drawnFt / 2.31)) : 0;
      drawnFt += (pump - capacity * drawnFt) / 60 / areaGalPerFt;
      gas += (hose + (t > 1800 ? 0.6 : 0) - pump) / 60;
      psi = TANK / gas - ATMOSPHERE_PSI;
      if (on || t % 5 === 0) readings.push([t, psi + scatter(t, 0.02), on ? 8 : 0, on]);
    }
    const unit = TANK / (50 + ATMOSPHERE_PSI);
    const job = jobOf({
      test: test({
        kind: 'recovery_test',
        measured: { flowM3PerS: hoseGpm * GPM, flowM3PerSStd: 0.02 * hoseGpm * GPM },
      }),
      readings,
      tankPsiGal: TANK,
      toml: '[well]\nstatic_level = "110 ft"\ncasing = "6 in"\n[pump]\nintake_depth = "240 ft"\n',
      before: { learntB0: 10 / unit, b0: 10 / unit, b1: -1 / unit, lastStopS: -9000 },
    });
    const result = evaluateRecovery(job);
    expect(result.unusable).toBeNull();
    const found = figureOf(result, /specific capacity/);
    const gpmPerFt = (found.value / GPM) * 0.3048;
    expect(Math.abs(Math.log(gpmPerFt / capacity))).toBeLessThan(0.5);
    expect(found.std! / found.value).toBeLessThan(0.6);
    expect(lnOf(result, 'level-falling-in-run')).toBeLessThan(0.01);
  });
  it('says why it cannot be used', () => {
    const asked = test({
      kind: 'recovery_test',
      measured: { flowM3PerS: 1e-4, flowM3PerSStd: 1e-6 },
    });
    const early = jobOf({
      test: asked,
      readings: [[10, 50, 0, false]],
      before: { learntB0: NaN },
    });
    expect(evaluateRecovery(early).unusable).toContain('not yet learnt');
    const still = jobOf({ test: asked, readings: [[10, 50, 0, false]] });
    expect(evaluateRecovery(still).unusable).toContain('did not run');
  });
});

describe('sounding', () => {
  const FOOT_M = 0.3048;
  const outcome = (feet: number, b0: number, running = false) =>
    evaluateSounding(
      jobOf({
        test: test({
          kind: 'sounding',
          startS: 20_000,
          stopS: 20_000,
          measured: { levelM: feet * FOOT_M, levelMStd: 0.15, pumpRunning: running ? 1 : 0 },
        }),
        readings: [],
        toml:
          '[well]\nstatic_level = { value = "110 ft", source = "measured" }\n' +
          '[pump]\nintake_depth = "200 ft"\n',
        before: { b0, lastStopS: 0 },
        tankPsiGal: 2319,
      }),
      null,
    );
  it('a level that explains the weak runs is the cause, one that stands is not', () => {
    // A tenth less delivery at a tenth of it for 10 psi: 10 psi of head, or 23 ft.
    const fallen = outcome(133, 0.63);
    expect(lnOf(fallen, 'static-level-falling')).toBe(0);
    expect(lnOf(fallen, 'pump-worn')).toBeLessThan(-6);
    const stands = outcome(111, 0.63);
    expect(lnOf(stands, 'pump-worn')).toBe(0);
    expect(lnOf(stands, 'static-level-falling')).toBeLessThan(-2);
  });
  it('with the pump running gives drawdown and specific capacity', () => {
    const deep = outcome(170, 0.7, true);
    expect(figureOf(deep, /^drawdown/).value / FOOT_M).toBeCloseTo(60, 6);
    // 0.7 gas volumes a minute of 2319/64.7 gal are 25.1 gpm on 60 ft.
    const gpmPerFt = (figureOf(deep, /specific/).value / GPM) * FOOT_M;
    expect(gpmPerFt).toBeCloseTo(25.1 / 60, 2);
    expect(lnOf(deep, 'level-falling-in-run')).toBe(0);
    expect(lnOf(outcome(114, 0.7, true), 'level-falling-in-run')).toBeLessThan(-3);
  });
});
