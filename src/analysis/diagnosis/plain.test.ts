import { describe, expect, it } from 'vitest';
import { FAULT_NAMES } from '../../model/faults.ts';
import type { SignalEventKind } from '../signal/signal.ts';
import {
  createPlain,
  gapTrouble,
  type Instant,
  noteStart,
  type PlainState,
  signalTrouble,
  unseenRuns,
  watchPlain,
} from './plain.ts';

const PSI = 6894.757;
/** A well of 40/60 psi whose pump takes 8 A, at rest at 50 psi. */
const REST: Instant = {
  timeS: 0,
  gaugePa: 50 * PSI,
  currentA: 0.02,
  on: false,
  ampsKnown: true,
  cutInPa: 40 * PSI,
  startsByPa: NaN,
  cutOutPa: 60 * PSI,
  atTest: false,
  usualA: 8,
  expectedA: 8,
  expectedRelStd: 0,
  earlyShare: NaN,
  stillS: NaN,
  heardS: NaN,
  knownUse: false,
};
const RUNNING: Partial<Instant> = { on: true, currentA: 8 };

/** The same state of things, second by second. */
function last(state: PlainState, fromS: number, toS: number, what: Partial<Instant>): void {
  for (let timeS = fromS; timeS <= toS; timeS++) watchPlain(state, { ...REST, ...what, timeS });
}

const open = (state: PlainState): string[] =>
  state.findings.all.filter((f) => Number.isNaN(f.clearedS)).map((f) => f.fault);
const raised = (state: PlainState): string[] => state.findings.all.map((f) => f.fault);

// Conditions and delays of these alarms are the trade's (common practice): no water, 10 psi below
// cut-in without amps for 20 s; stalled, 2.5 times the usual amps for more than 1.5 s; over
// pressure, 10 psi above cut-out for 3 s; short cycling, six starts in ten minutes; two hours on.
describe('no water', () => {
  it('is told after 20 s, and cleared when pressure is back above cut-in', () => {
    const state = createPlain();
    last(state, 100, 119, { gaugePa: 29 * PSI });
    expect(raised(state)).toEqual([]);
    last(state, 120, 120, { gaugePa: 29 * PSI });
    expect(open(state)).toEqual(['switch-no-start']);
    expect(state.findings.all[0]).toMatchObject({ sinceS: 100, raisedS: 120 });
    last(state, 121, 130, { gaugePa: 39 * PSI });
    expect(open(state)).toEqual(['switch-no-start']);
    last(state, 131, 131, { gaugePa: 41 * PSI });
    expect(state.findings.all[0]!.clearedS).toBe(131);
  });

  it.each([
    ['9 psi below cut-in', { gaugePa: 31 * PSI }],
    ['while the pump runs', { gaugePa: 20 * PSI, on: true, currentA: 8 }],
    ['while nobody knows the amps', { gaugePa: 20 * PSI, ampsKnown: false, currentA: NaN }],
    ['without a cut-in', { gaugePa: 20 * PSI, cutInPa: NaN }],
    ['without pressure', { gaugePa: NaN }],
  ])('is not told %s', (_name, what) => {
    const state = createPlain();
    last(state, 0, 1200, what);
    expect(raised(state)).not.toContain('switch-no-start');
  });

  it('is told soon after pressure fell below where this switch has closed', () => {
    const state = createPlain();
    const startsByPa = 38.5 * PSI;
    last(state, 0, 300, { gaugePa: 39.2 * PSI, startsByPa });
    expect(raised(state)).toEqual([]);
    last(state, 301, 375, { gaugePa: 38 * PSI, startsByPa });
    expect(raised(state)).toEqual([]);
    last(state, 376, 376, { gaugePa: 38 * PSI, startsByPa });
    expect(open(state)).toEqual(['switch-no-start']);
    expect(state.findings.all[0]!.evidence[0]!.says).toMatch(/^pressure lies below cut-in/);
    // A pump that runs has started, wherever pressure stands.
    last(state, 377, 420, { gaugePa: 39 * PSI, startsByPa, ...RUNNING });
    expect(open(state)).toEqual([]);
    const unheard = createPlain();
    last(unheard, 0, 300, { gaugePa: 38 * PSI, startsByPa, currentA: NaN });
    expect(raised(unheard)).toEqual([]);
  });

  it('starts its 20 s anew after a moment of water', () => {
    const state = createPlain();
    last(state, 0, 15, { gaugePa: 20 * PSI });
    last(state, 16, 16, {});
    last(state, 17, 36, { gaugePa: 20 * PSI });
    expect(raised(state)).toEqual([]);
  });
});

describe('a stalled motor', () => {
  it('is told after 1.5 s of more than 2.5 times the usual amps', () => {
    const state = createPlain();
    for (const timeS of [10, 10.5, 11, 11.4])
      watchPlain(state, { ...REST, on: true, currentA: 20.1, timeS });
    expect(raised(state)).toEqual([]);
    watchPlain(state, { ...REST, on: true, currentA: 20.1, timeS: 11.6 });
    expect(open(state)).toEqual(['rotor-locked']);
    expect(state.findings.all[0]!.evidence[0]).toMatchObject({ observed: 20.1, unit: 'A' });
  });

  it('that runs and stalls again fails to start at times; one that stalls on is locked', () => {
    const state = createPlain();
    const stall = (fromS: number) => last(state, fromS, fromS + 8, { on: true, currentA: 20.1 });
    stall(10);
    last(state, 19, 100, {});
    last(state, 101, 140, RUNNING);
    expect(open(state)).toEqual([]);
    last(state, 141, 400, {});
    stall(401);
    expect(open(state)).toEqual(['start-circuit-weak']);
    for (const fromS of [701, 1001, 1301]) {
      last(state, fromS - 280, fromS - 1, {});
      stall(fromS);
    }
    expect(open(state)).toEqual(['rotor-locked']);
  });

  it('is not a start, nor 2.4 times the amps, nor told without usual amps', () => {
    const state = createPlain();
    last(state, 0, 1, { on: true, currentA: 45 });
    last(state, 2, 60, { on: true, currentA: 19 });
    last(state, 61, 90, { on: true, currentA: 45, usualA: NaN });
    expect(raised(state)).toEqual([]);
  });
});

describe('pressure above cut-out', () => {
  it('of a running pump is told after 3 s, and cleared when it is down again', () => {
    const state = createPlain();
    const over = { ...RUNNING, gaugePa: 71 * PSI };
    last(state, 50, 52, over);
    expect(raised(state)).toEqual([]);
    last(state, 53, 53, over);
    expect(open(state)).toEqual(['switch-welded']);
    last(state, 54, 60, { gaugePa: 66 * PSI });
    expect(open(state)).toEqual(['switch-welded']);
    last(state, 61, 61, { gaugePa: 64 * PSI });
    expect(open(state)).toEqual([]);
  });

  it('with the pump off is nothing of the switch: a warm tank, a heater', () => {
    const state = createPlain();
    last(state, 0, 600, { gaugePa: 75 * PSI });
    last(state, 601, 1200, { ...RUNNING, gaugePa: 69 * PSI });
    expect(raised(state)).toEqual([]);
  });
});

describe('a pressure that springs', () => {
  const sprung = { gaugePa: 168 * PSI };

  it('far above cut-out with the pump off, and stays, is a short', () => {
    const state = createPlain();
    last(state, 0, 10, {});
    last(state, 11, 20, sprung);
    expect(raised(state)).toEqual([]);
    last(state, 21, 21, sprung);
    expect(open(state)).toEqual(['pressure-wire-short']);
    expect(state.findings.all[0]).toMatchObject({ sinceS: 11, raisedS: 21 });
    // What the pump does meanwhile says nothing of its switch.
    last(state, 22, 300, { ...RUNNING, ...sprung });
    expect(open(state)).toEqual(['pressure-wire-short']);
    last(state, 301, 301, {});
    expect(open(state)).toEqual([]);
  });

  it.each<[string, (state: PlainState) => void]>([
    ['for a moment', (state) => last(state, 11, 14, sprung)],
    ['while the pump runs', (state) => last(state, 11, 60, { ...RUNNING, ...sprung })],
    ['after hours without readings', (state) => last(state, 9000, 9060, sprung)],
    ['by what a warm tank does', (state) => last(state, 11, 60, { gaugePa: 95 * PSI })],
  ])('is none %s', (_name, then) => {
    const state = createPlain();
    last(state, 0, 10, {});
    then(state);
    last(state, 10_000, 10_100, {});
    expect(raised(state)).not.toContain('pressure-wire-short');
  });
});

describe('starts', () => {
  it('six within ten minutes are told, and cleared after a day without', () => {
    const state = createPlain();
    for (let k = 0; k < 5; k++) noteStart(state, 1000 + 120 * k, 1000 + 120 * k);
    expect(raised(state)).toEqual([]);
    noteStart(state, 1600, 1601);
    expect(open(state)).toEqual(['tank-waterlogged']);
    expect(state.findings.all[0]).toMatchObject({ sinceS: 1000, raisedS: 1601 });
    last(state, 1602, 1700, {});
    expect(open(state)).toEqual(['tank-waterlogged']);
    watchPlain(state, { ...REST, timeS: 1601 + 86_400 });
    expect(open(state)).toEqual([]);
  });

  it('six in eleven minutes are not', () => {
    const state = createPlain();
    for (let k = 0; k < 30; k++) noteStart(state, 132 * k, 132 * k);
    expect(raised(state)).toEqual([]);
  });
});

describe('a run that does not end', () => {
  it('is heavy use at first sight after two hours, until the pump stops with pressure up', () => {
    const state = createPlain();
    last(state, 0, 7200, RUNNING);
    expect(raised(state)).toEqual([]);
    last(state, 7201, 7201, RUNNING);
    expect(open(state)).toEqual(['heavy-use']);
    last(state, 7202, 7300, { gaugePa: 35 * PSI });
    expect(open(state)).toEqual(['heavy-use']);
    last(state, 7301, 7301, { gaugePa: 59 * PSI });
    expect(open(state)).toEqual([]);
  });

  it('with low amps does not reach cut-out', () => {
    const state = createPlain();
    last(state, 0, 20, { ...RUNNING, currentA: 7, gaugePa: 41 * PSI });
    last(state, 21, 60, { ...RUNNING, currentA: 7, gaugePa: 45 * PSI });
    last(state, 61, 7201, { ...RUNNING, currentA: 7, gaugePa: 57 * PSI });
    expect(open(state)).toEqual(['cut-out-unreachable']);
  });

  it('with half the amps from the first second, and pressure all the same, has water', () => {
    const state = createPlain();
    last(state, 0, 15, { ...RUNNING, currentA: 4, gaugePa: 41 * PSI });
    last(state, 16, 40, { ...RUNNING, currentA: 4, gaugePa: 46 * PSI });
    last(state, 41, 120, { ...RUNNING, currentA: 4, gaugePa: 52 * PSI });
    last(state, 121, 5000, { ...RUNNING, currentA: 4, gaugePa: 54 * PSI });
    expect(open(state)).toEqual(['cut-out-unreachable']);
    // A tap that is open for a while changes nothing of it.
    last(state, 5001, 5100, { ...RUNNING, currentA: 4, gaugePa: 42 * PSI });
    last(state, 5101, 20_000, { ...RUNNING, currentA: 4, gaugePa: 54 * PSI });
    expect(raised(state)).toEqual(['cut-out-unreachable']);
  });

  it('with low amps and pressure fallen below cut-in runs dry, told after half a minute', () => {
    const state = createPlain();
    last(state, 1, 4, { ...RUNNING, gaugePa: 41 * PSI });
    last(state, 5, 9, { ...RUNNING, gaugePa: 46 * PSI });
    const dry = { on: true, currentA: 6.2, gaugePa: 35 * PSI };
    last(state, 10, 40, dry);
    expect(raised(state)).toEqual([]);
    last(state, 41, 41, dry);
    expect(open(state)).toEqual(['running-dry']);
    const { evidence } = state.findings.all[0]!;
    expect(evidence.at(-1)).toMatchObject({ observed: 6.2, expected: 8, unit: 'A' });
  });

  it('in which pressure never rises and amps are low and steady turns an uncoupled motor', () => {
    const state = createPlain();
    last(state, 10, 50, { on: true, currentA: 5, gaugePa: 35 * PSI });
    expect(open(state)).toEqual(['pump-uncoupled']);
  });

  it('held just below cut-out with sound amps has an open relief valve', () => {
    const state = createPlain();
    last(state, 0, 200, { ...RUNNING, gaugePa: 45 * PSI });
    last(state, 201, 1500, { ...RUNNING, gaugePa: 59 * PSI });
    expect(open(state)).toEqual(['relief-lifting']);
  });

  it('with low amps is nothing before usual amps are known', () => {
    const state = createPlain();
    last(state, 0, 600, { on: true, currentA: 5, gaugePa: 35 * PSI, expectedA: NaN });
    expect(raised(state)).toEqual([]);
  });
});

describe('the sensors', () => {
  it.each<[SignalEventKind]>([['pressure-wire-open'], ['pressure-wire-short'], ['adc-stuck']])(
    'that say %s are told until it ends',
    (kind) => {
      const state = createPlain();
      signalTrouble(state, kind, 500, { channel: 0, phase: 'begins', value: -1e5 });
      expect(open(state)).toEqual([kind]);
      expect(state.findings.all[0]!.evidence[0]).toMatchObject({ observed: -1e5, unit: 'Pa' });
      signalTrouble(state, kind, 900, { channel: 0, phase: 'ends', value: 3e5 });
      expect(state.findings.all[0]!.clearedS).toBe(900);
    },
  );

  it('a current that stands still leaves what pressure says; a pressure that does takes it', () => {
    const over = { ...RUNNING, gaugePa: 71 * PSI };
    const current = createPlain();
    signalTrouble(current, 'adc-stuck', 10, { channel: 1, phase: 'begins', value: 8 });
    last(current, 50, 60, over);
    expect(open(current)).toEqual(['adc-stuck', 'switch-welded']);
    const pressure = createPlain();
    signalTrouble(pressure, 'adc-stuck', 10, { channel: 0, phase: 'begins', value: 5e5 });
    last(pressure, 50, 60, over);
    expect(open(pressure)).toEqual(['adc-stuck']);
  });

  it('of two channels that stand still it is over when both move', () => {
    const state = createPlain();
    signalTrouble(state, 'adc-stuck', 10, { channel: 0, phase: 'begins', value: 5e5 });
    signalTrouble(state, 'adc-stuck', 20, { channel: 1, phase: 'begins', value: 8 });
    signalTrouble(state, 'adc-stuck', 30, { channel: 1, phase: 'ends', value: 8.1 });
    expect(open(state)).toEqual(['adc-stuck']);
    signalTrouble(state, 'adc-stuck', 40, { channel: 0, phase: 'ends', value: 5.1e5 });
    expect(open(state)).toEqual([]);
  });

  it('a jump of the clock is over as soon as it is told', () => {
    const state = createPlain();
    signalTrouble(state, 'clock-jump', 500, { channel: null, phase: 'begins', value: -3600 });
    expect(state.findings.all[0]).toMatchObject({ fault: 'clock-jump', clearedS: 500 });
    expect(state.findings.all[0]!.evidence[0]).toMatchObject({ observed: -3600, unit: 's' });
  });

  it('half an hour without pressure is told, less is not', () => {
    const state = createPlain();
    gapTrouble(state, 0, 1799);
    expect(raised(state)).toEqual([]);
    gapTrouble(state, 2000, 3800);
    expect(state.findings.all[0]).toMatchObject({ fault: 'data-gap', sinceS: 2000, raisedS: 3800 });
    expect(open(state)).toEqual([]);
  });

  it('two runs that the amps deny are told, one is not, and amps that come back clear it', () => {
    const state = createPlain();
    unseenRuns(state, 1, 100, 200);
    expect(raised(state)).toEqual([]);
    unseenRuns(state, 2, 100, 900);
    expect(open(state)).toEqual(['current-clamp-off']);
    unseenRuns(state, 0, NaN, 5000);
    expect(open(state)).toEqual([]);
    // The clamp has just told a run: it takes more to say that it is off.
    unseenRuns(state, 5, 6000, 9000);
    expect(open(state)).toEqual([]);
    unseenRuns(state, 6, 6000, 9500);
    expect(open(state)).toEqual(['current-clamp-off']);
    unseenRuns(state, 0, NaN, 10_000);
    unseenRuns(state, 2, 10_000 + 86_400, 10_900 + 86_400);
    expect(open(state)).toEqual(['current-clamp-off']);
  });

  it('readings set aside because they stand still are no gap', () => {
    const state = createPlain();
    signalTrouble(state, 'adc-stuck', 100, { channel: 0, phase: 'begins', value: 0 });
    gapTrouble(state, 100, 9000);
    expect(raised(state)).toEqual(['adc-stuck']);
  });
});

describe('every plain finding', () => {
  it('has odds that add up to one, of faults with names', () => {
    const state = createPlain();
    const days = (n: number): number => n * 86_400;
    last(state, 0, 30, { gaugePa: 20 * PSI });
    last(state, days(1), days(1) + 10, { on: true, currentA: 45 });
    last(state, days(1) + 11, days(1) + 11, {});
    last(state, days(2), days(2) + 10, { ...RUNNING, gaugePa: 75 * PSI });
    last(state, days(2) + 11, days(2) + 11, {});
    last(state, days(3), days(3) + 7300, RUNNING);
    last(state, days(3) + 7301, days(3) + 7301, { gaugePa: 59 * PSI });
    last(state, days(4), days(4) + 40, { on: true, currentA: 5, gaugePa: 35 * PSI });
    last(state, days(4) + 41, days(4) + 41, { gaugePa: 59 * PSI });
    for (let k = 0; k < 6; k++) noteStart(state, days(5) + k, days(5) + k);
    // A day without many starts ends the word on them.
    last(state, days(6) + 60, days(6) + 60, { gaugePa: 59 * PSI });
    for (const kind of ['pressure-wire-open', 'clock-jump'] as const) {
      signalTrouble(state, kind, days(6), { channel: 0, phase: 'begins', value: 0 });
      signalTrouble(state, kind, days(6) + 9, { channel: 0, phase: 'ends', value: 0 });
    }
    signalTrouble(state, 'adc-stuck', days(7), { channel: 0, phase: 'begins', value: 0 });
    signalTrouble(state, 'adc-stuck', days(7) + 9, { channel: 0, phase: 'ends', value: 0 });
    gapTrouble(state, days(8), days(8) + 9000);
    unseenRuns(state, 2, days(9), days(9) + 100);
    expect(new Set(raised(state)).size).toBe(11);
    for (const { fault, probability, instead, sinceS, raisedS, evidence } of state.findings.all) {
      const odds = [probability, ...instead.map((other) => other.probability)];
      expect(
        odds.reduce((a, b) => a + b, 0),
        fault,
      ).toBeCloseTo(1, 9);
      expect(probability, fault).toBe(Math.max(...odds));
      for (const other of instead) expect(FAULT_NAMES).toContain(other.fault);
      expect(sinceS).toBeLessThanOrEqual(raisedS);
      expect(evidence.length).toBeGreaterThan(0);
    }
  });

  it('is none on a well that is used as wells are', () => {
    const state = createPlain();
    for (let run = 0; run < 40; run++) {
      const at = run * 2000;
      noteStart(state, at, at);
      for (let t = 0; t < 90; t++) {
        const gaugePa = (40 + (20 * t) / 90) * PSI;
        watchPlain(state, { ...REST, on: true, currentA: t < 1 ? 40 : 8, gaugePa, timeS: at + t });
      }
      for (let t = 90; t < 2000; t += 5) {
        const gaugePa = (60 - (20 * (t - 90)) / 1910) * PSI;
        watchPlain(state, { ...REST, gaugePa, timeS: at + t });
      }
    }
    expect(raised(state)).toEqual([]);
  });
});

describe('a run that goes on', () => {
  it('is not carried over a silence of which nothing is known', () => {
    const state = createPlain();
    last(state, 0, 60, { ...RUNNING, gaugePa: 45 * PSI });
    last(state, 30_000, 30_060, { ...RUNNING, gaugePa: 45 * PSI });
    expect(raised(state)).toEqual([]);
  });
  it('is not dry where the motor takes no amps at all', () => {
    const state = createPlain();
    last(state, 0, 120, { on: true, currentA: 0.06, gaugePa: 30 * PSI });
    expect(raised(state)).toEqual([]);
  });
});
