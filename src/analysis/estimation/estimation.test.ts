import { describe, expect, it } from 'vitest';
import { normalNumbers } from '../../../test/support/numbers.ts';
import { wellOf } from '../../../test/support/rehearsed-log.ts';
import { gasLogTemperatureStep } from '../../physics/tank/gas-log-temperature-step.ts';
import { addAmps, closeAmpsRun, createAmpsCurve, expectedAmps } from './amps-curve.ts';
import { createBucketRecords, evaluateBucket, noteRunNearBucket, stepBucket } from './bucket.ts';
import { checkDelivery, createDelivery, learnDelivery } from './delivery.ts';
import { addPiece, breakDraws, createDraws, stepDraws } from './draws.ts';
import { closeLossDay, createLoss, endRest, lowestAgreement, stepLoss } from './loss.ts';
import { nominalDelivery } from './nominal-delivery.ts';
import { drawUpBalance, type RunBalance } from './run-balance.ts';
import { createRunWindow, pushWindow, windowRunBegins, windowRunEnds } from './run-window.ts';
import { beginStop, createTankGas, gasExpansion, learnFromStop, stepTankGas } from './tank-gas.ts';

const PSI = 6894.757;
const GPM = 6.30901964e-5;

describe('the gas in the tank', () => {
  it('is learnt from quiet stops: what it warms by, and how it cools', () => {
    // A gas of one time constant, made here by its own recurrence, not by the filter bank.
    const kappa = 0.25;
    const tauS = 40;
    const gas = createTankGas();
    const random = normalNumbers(3);
    let theta = 0;
    let logP = Math.log(55 * PSI);
    let t = 0;
    const step = (volumeChange: number, noise: number): void => {
      // ln P = ln C + theta - ln V: for a given change of ln V both move together.
      let dLogP = -volumeChange;
      for (let k = 0; k < 6; k++)
        dLogP = gasLogTemperatureStep(theta, dLogP, 1, kappa, tauS) - theta - volumeChange;
      theta = gasLogTemperatureStep(theta, dLogP, 1, kappa, tauS);
      logP += dLogP;
      t += 1;
      stepTankGas(gas, t, Math.exp(logP + noise * random()));
    };
    for (let run = 0; run < 25; run++) {
      for (let k = 0; k < 60; k++) step(-0.005, 5e-4);
      beginStop(gas, t);
      for (let k = 0; k < 335; k++) step(0, 5e-4);
      learnFromStop(gas, 7e-4, 0);
      for (let k = 0; k < 900; k++) step(0.3 / 900, 5e-4);
    }
    expect(gas.stops).toBeGreaterThan(15);
    expect(Math.abs(gas.kappa - kappa)).toBeLessThan(0.05);
    expect(gas.tauS).toBeGreaterThan(30);
    expect(gas.tauS).toBeLessThan(52);
    // What counts: after a fill, the volume it tells does not move while nobody draws.
    for (let k = 0; k < 60; k++) step(-0.005, 0);
    const volume = (): number => gasExpansion(gas) / Math.exp(logP);
    const before = volume();
    for (let k = 0; k < 300; k++) step(0, 0);
    expect(Math.abs(volume() / before - 1)).toBeLessThan(0.004);
  });

  it('learns nothing from a stop after which somebody draws', () => {
    const gas = createTankGas();
    for (let t = 0; t < 60; t++) stepTankGas(gas, t, (45 + t / 3) * PSI);
    beginStop(gas, 60);
    for (let t = 60; t < 400; t++)
      stepTankGas(gas, t, (65 - Math.max(0, Math.min(t - 120, 60)) / 12) * PSI);
    expect(learnFromStop(gas, 1e-3, 0)).toBe(false);
    expect(gas.stops).toBe(0);
  });
});

interface Made {
  startS: number;
  stopS: number;
  b0: number;
  drawBefore: number;
  drawEndsS: number;
  noise: number;
  restS: number;
}

/** A run of known delivery in a window, and its balance against a prior. */
function balanceOf(made: Made, priorB0: number, priorRel: number): RunBalance {
  const window = createRunWindow();
  const random = normalNumbers(8);
  let volume = 1.15;
  const push = (t: number, on: boolean): void => {
    const x = on ? -1 + (2 * (t - made.startS)) / (made.stopS - made.startS) : 0;
    const point = { timeS: t, volume: volume + made.noise * random(), std: 0.001, root: 1, x };
    pushWindow(window, point);
  };
  let lastOff = NaN;
  let firstOn = NaN;
  let begun = false;
  let ended = false;
  for (let t = 0; t <= made.stopS + 100; t++) {
    const on = t > made.startS && t <= made.stopS;
    if (on && !begun) {
      begun = true;
      firstOn = t;
      windowRunBegins(window, t);
    }
    if (begun && !on && !ended) {
      ended = true;
      windowRunEnds(window, t);
    }
    if (on || t % made.restS === 0) {
      push(t, on);
      if (!begun) lastOff = t;
    }
    const draw = t < made.drawEndsS ? made.drawBefore : 0;
    const running = Math.max(0, Math.min(t + 1, made.stopS) - Math.max(t, made.startS));
    volume += draw / 60 - (made.b0 * running) / 60;
  }
  return drawUpBalance({
    window,
    startFromS: lastOff,
    startToS: firstOn,
    stopFromS: Math.floor(made.stopS),
    stopToS: Math.floor(made.stopS) + 1,
    pauses: [],
    prior: {
      b0: priorB0,
      b1: 0,
      v00: (priorRel * priorB0) ** 2,
      v01: 0,
      v11: (0.01 * priorB0) ** 2,
    },
    bend: 0,
    extraX: () => 0,
    frictionStd: 1e-4,
    cutIn: null,
    lossRate: 0,
    pausing: { share: 0, std: 0.01 },
  })!;
}

describe("a run's balance", () => {
  const made: Made = {
    startS: 201.6,
    stopS: 268.3,
    b0: 0.28,
    drawBefore: 0.06,
    drawEndsS: 225,
    noise: 0.0005,
    restS: 5,
  };

  it('finds what was pumped, start, stop and the end of a draw in it', () => {
    const balance = balanceOf(made, 0.28, 0.03);
    const pumped = (0.28 * (268.3 - 201.6)) / 60;
    expect(Math.abs(balance.pumped / pumped - 1)).toBeLessThan(0.01);
    expect(Math.abs(balance.pumped - pumped)).toBeLessThan(2.5 * balance.pumpedStd);
    expect(Math.abs(balance.startS - 201.6)).toBeLessThan(1);
    expect(Math.abs(balance.stopS - 268.3)).toBeLessThan(0.6);
    expect(balance.openings.length).toBe(2);
    expect(Math.abs(balance.openings[0]!.rate - 0.06)).toBeLessThan(0.01);
    expect(Math.abs(balance.openings[0]!.toS - 225)).toBeLessThan(8);
    expect(Math.abs(balance.openings[1]!.rate)).toBeLessThan(0.01);
  });

  it('says delivery whatever was thought before', () => {
    for (const prior of [0.22, 0.35]) {
      const { i00, h0, i01 } = balanceOf({ ...made, drawBefore: 0 }, prior, 0.3);
      expect(i00).toBeGreaterThan(0);
      expect(Number.isFinite(i01)).toBe(true);
      expect(Math.abs(h0 / i00 / 0.28 - 1)).toBeLessThan(0.03);
    }
  });

  it('is none with next to no points', () => {
    const window = createRunWindow();
    for (let t = 0; t < 3; t++) pushWindow(window, { timeS: t, volume: 1, std: 1, root: 1, x: 0 });
    const prior = { b0: 1, b1: 0, v00: 1, v01: 0, v11: 1 };
    const times = { startFromS: 0, startToS: 1, stopFromS: 1, stopToS: 2, pauses: [] };
    const rest = { bend: 0, extraX: () => 0, frictionStd: 1, cutIn: null, lossRate: 0 };
    const pausing = { share: 0, std: 1 };
    expect(drawUpBalance({ window, prior, ...times, ...rest, pausing })).toBeNull();
  });
});

describe('delivery', () => {
  const prior = { b0: 0.25, b1: -0.02, v00: 0.04 ** 2, v01: 0, v11: 0.01 ** 2 };
  const word = (b0: number): RunBalance => {
    const info = 1 / (0.01 * b0) ** 2;
    return { i00: info, i01: 0, i11: 1, h0: info * b0, h1: -0.02 } as RunBalance;
  };
  const learn = (state: ReturnType<typeof createDelivery>, b0: number): void => {
    checkDelivery(state, word(b0));
    learnDelivery(state, word(b0));
  };

  it('is learnt to a percent though one run in five is far off', () => {
    const state = createDelivery(prior);
    const random = normalNumbers(5);
    for (let k = 0; k < 60; k++) learn(state, k % 5 === 3 ? 0.36 : 0.28 * (1 + 0.01 * random()));
    expect(Math.abs(state.b0 / 0.28 - 1)).toBeLessThan(0.012);
    expect(Number.isNaN(state.learntB0)).toBe(false);
  });

  it('follows a change that two runs in a row show', () => {
    const state = createDelivery(prior);
    for (let k = 0; k < 30; k++) learn(state, 0.28);
    for (let k = 0; k < 3; k++) learn(state, 0.21);
    expect(Math.abs(state.b0 / 0.21 - 1)).toBeLessThan(0.03);
    expect(Math.abs(state.learntB0 / 0.28 - 1)).toBeLessThan(0.01);
  });
});

describe('a bucket test', () => {
  const tank = 1.1e5;
  const test = { startS: 10_000, stopS: 10_200, volumeM3: 0.03, volumeM3Std: 0.0003 };
  const still = { shares: [0, 0, 0, 0, 0, 0] };

  /** Isothermal readings every 5 s: a fill that ended, a rest, the bucket, a rest. */
  function record(extra: (t: number) => number = () => 0) {
    const records = createBucketRecords([test]);
    const random = normalNumbers(2);
    for (let t = 9000; t < 11_000; t += 5) {
      const share = Math.max(0, Math.min(1, (t - 10_000) / 200));
      const gasM3 = 0.24 + 0.03 * share + extra(t);
      stepBucket(records, t, tank / gasM3 + 300 * random());
    }
    return records;
  }

  it('gives the tank constant back', () => {
    const result = evaluateBucket(record()[0]!, still, 300);
    expect(result.problem).toBeNull();
    if (result.problem !== null) return;
    expect(Math.abs(result.tankConstantPaM3 / tank - 1)).toBeLessThan(0.01);
    expect(result.std / tank).toBeGreaterThan(0.01);
    expect(result.std / tank).toBeLessThan(0.03);
  });

  it('gives it back though somebody draws a little later', () => {
    const records = record((t) => (t > 10_450 ? 0.004 : 0));
    const result = evaluateBucket(records[0]!, still, 300);
    if (result.problem !== null) throw new Error(result.problem);
    expect(Math.abs(result.tankConstantPaM3 / tank - 1)).toBeLessThan(0.02);
  });

  it('is not used with a run within five minutes, without a draw, or without readings', () => {
    const near = record();
    noteRunNearBucket(near, 9750, 9800);
    expect(evaluateBucket(near[0]!, still, 300).problem).toBe('run-near');
    const far = record();
    noteRunNearBucket(far, 9300, 9600);
    expect(evaluateBucket(far[0]!, still, 300).problem).toBeNull();
    const flat = createBucketRecords([test]);
    for (let t = 9000; t < 11_000; t += 5) stepBucket(flat, t, 4.2e5);
    expect(evaluateBucket(flat[0]!, still, 300).problem).toBe('no-draw');
    expect(evaluateBucket(createBucketRecords([test])[0]!, still, 300).problem).toBe('not-in-log');
  });
});

describe('loss', () => {
  it('is the lowest flow at which windows agree', () => {
    const std = Array(6).fill(0.001);
    expect(lowestAgreement([0.02, 0.021, 0.02, 0.3, 0.9, 0.0205], std)!.rate).toBeCloseTo(
      0.0204,
      3,
    );
    expect(lowestAgreement([0.02, 0.3, 0.9, 0.5, 0.7, 0.1], std)).toBeNull();
    expect(lowestAgreement([0.02, 0.02], [0.001, 0.001])).toBeNull();
  });

  const rest = (loss: ReturnType<typeof createLoss>, fromS: number, perMin: number): void => {
    const at = (t: number) => ({
      timeS: fromS + t,
      volume: 1 + (perMin * t) / 60,
      std: 0.0005,
      root: 1,
      sinceStopS: t,
    });
    for (let t = 0; t < 3000; t += 5) stepLoss(loss, at(t));
    endRest(loss, at(2995));
  };

  it('adds up over the rests of a day, each with its own', () => {
    const loss = createLoss();
    for (let k = 0; k < 8; k++) rest(loss, k * 7200, k % 2 === 0 ? 0.01 : 0.004);
    const day = closeLossDay(loss, 0)!;
    const minutes = (8 * 2995) / 60;
    expect(Math.abs(day.volume / (0.007 * minutes) - 1)).toBeLessThan(0.05);
    expect(closeLossDay(loss, 0)).toBeNull();
  });

  it('is not what a softener draws for an hour', () => {
    const loss = createLoss();
    rest(loss, 0, 0.05);
    rest(loss, 3100, 0.05);
    for (let k = 2; k < 9; k++) rest(loss, k * 9000, 0);
    expect(closeLossDay(loss, 0)!.rate).toBeLessThan(0.001);
  });
});

describe('draws', () => {
  it('are cut from the growth of the gas, and joined where they touch', () => {
    const draws = createDraws();
    let volume = 1;
    for (let t = 0; t < 900; t += 5) {
      if ((t >= 100 && t < 160) || (t >= 500 && t < 520)) volume += 0.01;
      stepDraws(draws, { timeS: t, volume, std: 0.0005, lossPerMin: 0, sinceStopS: 5000 });
    }
    breakDraws(draws, 0.0005);
    expect(draws.recent.length).toBe(2);
    expect(draws.recent[0]!.volume).toBeCloseTo(0.12, 2);
    expect(draws.recent[1]!.volume).toBeCloseTo(0.04, 2);
    expect(Math.abs(draws.recent[0]!.startS - 97)).toBeLessThan(6);
    addPiece(draws, { startS: 158, stopS: 300, volume: 0.1, variance: 0, peakPerMin: 1 });
    expect(draws.recent.length).toBe(2);
    expect(draws.recent[0]!.volume).toBeCloseTo(0.22, 2);
    expect(draws.recent[0]!.stopS).toBe(300);
  });

  it('are not a steady loss that is known', () => {
    const draws = createDraws();
    for (let t = 0; t < 3600; t += 5)
      stepDraws(draws, {
        timeS: t,
        volume: 1 + (0.02 * t) / 60,
        std: 0.0005,
        lossPerMin: 0.02,
        sinceStopS: 5000,
      });
    breakDraws(draws, 0.0005);
    expect(draws.recent).toEqual([]);
  });
});

describe('amps over pressure', () => {
  it('are learnt as a line, and not said before three runs', () => {
    const curve = createAmpsCurve();
    const run = (plain: boolean): void => {
      for (let x = -1; x <= 1; x += 0.1) addAmps(curve, x, 8 - 0.2 * x);
      closeAmpsRun(curve, plain);
    };
    run(true);
    run(true);
    run(false);
    expect(expectedAmps(curve, 0)).toBeNaN();
    run(true);
    expect(expectedAmps(curve, -1)).toBeCloseTo(8.2, 6);
    expect(expectedAmps(curve, 1)).toBeCloseTo(7.8, 6);
  });
});

describe('delivery by nameplate', () => {
  // Trade's operating points of a new 3/4 hp, 10 gpm pump, lift 100 ft, 150 ft of 1-inch pipe
  // (derived from memory of small multistage pumps): gpm at 30, 40, 50, 60, 75 psi.
  it('meets the operating points of a usual pump', () => {
    const { equipment } = wellOf(`name = "Points"
[well]
static_level = "100 ft"
[pump]
power = "0.75 hp"
rated_flow = "10 gpm"
[pipe]
inside_diameter = "1.049 in"
length = "150 ft"
`);
    const points: [number, number][] = [
      [30, 12.7],
      [40, 11.9],
      [50, 11.0],
      [60, 10.0],
      [75, 8.2],
    ];
    for (const [psi, gpm] of points) {
      const band = { middlePaGauge: psi * PSI, halfPa: 5 * PSI };
      const nominal = nominalDelivery(equipment, band);
      expect(Math.abs(nominal.flowM3PerS / GPM / gpm - 1)).toBeLessThan(0.03);
      expect(nominal.slope).toBeLessThan(0);
    }
  });

  it('is wide where nothing is known', () => {
    const { equipment } = wellOf('name = "Nothing"\n');
    const nominal = nominalDelivery(equipment, { middlePaGauge: 50 * PSI, halfPa: 10 * PSI });
    expect(nominal.relStd).toBeGreaterThanOrEqual(0.5);
  });
});
