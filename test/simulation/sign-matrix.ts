import type { FaultSpec, RehearsedFault } from '../../src/simulation/faults/faults.ts';
import { type Signs, shutOffOf, signsOf } from './probe.ts';

/**
 * The trade's sign matrix (common practice, from memory; entries as in the fault catalogue):
 * what each fault does to set points, fill, rest, amps, runs, starts and noise, as ranges against
 * the same system without the fault. Where the plant does otherwise, `because` says why.
 */
export interface SignRow {
  entry: string;
  fault: RehearsedFault;
  system: string;
  severity?: number;
  form?: string;
  /** Hour of the day at which the probe begins. */
  startHour?: number;
  checks: SignCheck[];
}

/** A system with its fault or without. */
export interface Seen extends Signs {
  shutOff: () => { psi: number; amps: number };
}

export interface SignCheck {
  sign: string;
  /** The range the trade gives, and how it is taken from what is seen. */
  low: number;
  high: number;
  of: (a: Seen, b: Seen) => number;
  because?: string;
}

const ratio = (key: 'fill' | 'amps' | 'runS' | 'restPerGpm' | 'delivery' | 'startS') => {
  return (a: Seen, b: Seen) => (a[key] ?? Number.NaN) / (b[key] ?? Number.NaN);
};
const check = (sign: string, low: number, high: number, of: SignCheck['of'], because?: string) => ({
  sign,
  low,
  high,
  of,
  ...(because === undefined ? {} : { because }),
});

const fill = (low: number, high: number, why?: string) =>
  check('fill, times', low, high, ratio('fill'), why);
const draw = (low: number, high: number, why?: string) =>
  check('fall per gpm, times', low, high, ratio('restPerGpm'), why);
const amps = (low: number, high: number, why?: string) =>
  check('amps, % of base', low, high, (a, b) => 100 * ratio('amps')(a, b), why);
const run = (low: number, high: number, why?: string) =>
  check('run, times', low, high, ratio('runS'), why);
const inUse = (low: number, high: number, why?: string) =>
  check('starts in use, times', low, high, (a, b) => a.startsInUse / b.startsInUse, why);
const idle = (low: number, high: number, why?: string) =>
  check('starts an hour, no use', low, high, (a) => a.startsIdle, why);
const restFall = (low: number, high: number, why?: string) =>
  check('fall at rest, psi/min', low, high, (a) => a.rest, why);
const endless = check('fill ends, 1 yes', 0, 0, (a) => (a.stopped ? 1 : 0));
const start = (low: number, high: number, why?: string) =>
  check('inrush, times', low, high, ratio('startS'), why);
const noise = (low: number, high: number, why?: string) =>
  // A clamp's own 0.03 A stands beside what the motor does.
  check(
    'noise, times',
    low,
    high,
    (a, b) => Math.hypot(a.long.noise, 0.03) / Math.hypot(b.long.noise, 0.03),
    why,
  );
const shutOff = (low: number, high: number, why?: string) =>
  check('shut-off, % of base', low, high, (a, b) => (100 * a.shutOff().psi) / b.shutOff().psi, why);
const longAmps = (low: number, high: number, why?: string) =>
  check('amps when dry, % of base', low, high, (a, b) => (100 * a.long.amps) / b.long.amps, why);
const steeper = (why?: string) =>
  check(
    'amps slope less base, A/10 psi',
    -9,
    -0.001,
    (a, b) => a.ampsPer10Psi! - b.ampsPer10Psi!,
    why,
  );
const same = amps(98.5, 101.5);
const INFINITE = Number.POSITIVE_INFINITY;

const AT_TEE = 'the relief valve lifts inside the switch band, where amps are what they always are';
const LIGHT = 'this motor runs below its rated load to begin with, so idling is a larger share';
const FLAT = 'at this lift the pump works past its rated flow, where shaft power is flat';

export const SIGN_MATRIX: readonly SignRow[] = [
  {
    entry: 'F01',
    fault: 'tank-waterlogged',
    system: 'B',
    checks: [
      fill(3, 20),
      draw(3, 20),
      same,
      check('run, s', 2, 15, (a) => a.runS),
      check('starts in use', 30, 300, (a) => a.startsInUse),
    ],
  },
  {
    entry: 'F02',
    fault: 'precharge-low',
    system: 'B',
    checks: [fill(1.2, 2), draw(1.2, 2), same, run(0.5, 0.8), inUse(1.2, 2)],
  },
  {
    entry: 'F03',
    fault: 'precharge-high',
    system: 'B',
    severity: 0.8,
    checks: [
      check('lowest below cut-in, psi', 3, 15, (a, b) => b.cutIn! - a.lowestHard),
      run(0.8, 1),
      inUse(1.01, 3),
    ],
  },
  {
    entry: 'F04',
    fault: 'tank-isolated',
    system: 'D',
    checks: [
      draw(20, 100),
      check('run, s', 0, 2, (a) => a.runS),
      check('starts in use', 100, INFINITE, (a) => a.startsInUse),
    ],
  },
  {
    entry: 'F06',
    fault: 'tank-undersized',
    system: 'B',
    checks: [fill(1.2, 4), amps(110, 400), check('run, s', 0, 60, (a) => a.runS), inUse(1.05, 5)],
  },
  {
    entry: 'F07',
    fault: 'leak-house',
    system: 'B',
    severity: 0.4,
    checks: [fill(0.95, 1.02), restFall(0.02, 0.2), same, idle(0.1, 0.5)],
  },
  {
    entry: 'F08',
    fault: 'leak-burst',
    system: 'B',
    checks: [
      fill(-0.1, 0.9),
      check('fall after the stop, psi/min', 2, 60, (a) => a.fallAfterStop),
      amps(100, 103, FLAT),
      run(2, INFINITE),
    ],
  },
  {
    entry: 'F09',
    fault: 'fixture-running',
    system: 'B',
    form: 'seep',
    checks: [restFall(0.2, 2), same, idle(0.5, 6)],
  },
  {
    entry: 'F10',
    fault: 'check-valve-leak',
    system: 'B',
    checks: [restFall(0.02, 4), same, run(0.98, 1.2), idle(0.2, 10)],
  },
  {
    entry: 'F10 riser',
    fault: 'check-valve-leak',
    system: 'B',
    form: 'riser',
    severity: 0.5,
    checks: [check('pressure late by, s', 1, 20, (a) => a.lateS!), restFall(-0.02, 0.02)],
  },
  {
    entry: 'F11',
    fault: 'drop-pipe-parted',
    system: 'B',
    checks: [endless, fill(-0.1, 0.7), amps(100, 103, FLAT)],
  },
  {
    entry: 'F12',
    fault: 'heavy-use',
    system: 'B',
    startHour: 3,
    checks: [fill(0.1, 0.95), same, run(1.1, INFINITE)],
  },
  {
    entry: 'F13',
    fault: 'relief-lifting',
    system: 'B',
    checks: [
      endless,
      check('highest less cut-out, psi', -9, -1, (a, b) => a.highest - b.highest),
      amps(90, 97, AT_TEE),
    ],
  },
  {
    entry: 'F14a',
    fault: 'level-falling-in-run',
    system: 'B',
    severity: 0.5,
    checks: [
      check(
        'delivery in a long draw, % of base',
        60,
        90,
        (a, b) => (100 * a.long.delivered) / b.long.delivered,
      ),
      longAmps(98, 99.7),
    ],
  },
  {
    entry: 'F14b',
    fault: 'running-dry',
    system: 'B',
    checks: [
      check('lowest below cut-in, psi', 0, 60, (a, b) => b.cutIn! - a.long.lowest),
      longAmps(60, 85),
      noise(3, 30),
    ],
  },
  {
    entry: 'F14b cap',
    fault: 'running-dry',
    system: 'F',
    checks: [longAmps(40, 60), noise(3, 60)],
  },
  {
    entry: 'F15',
    fault: 'gas-in-water',
    system: 'B',
    checks: [fill(0.5, 0.97), amps(80, 100), noise(2, 5)],
  },
  {
    entry: 'F16s',
    fault: 'screen-clogged',
    system: 'B',
    checks: [
      check(
        'delivery in a long draw, % of base',
        50,
        95,
        (a, b) => (100 * a.long.delivered) / b.long.delivered,
      ),
      amps(98, 100.3),
      shutOff(98.5, 100.5),
    ],
  },
  {
    entry: 'F16i',
    fault: 'intake-clogged',
    system: 'B',
    checks: [shutOff(99.5, 100.5), fill(0.6, 0.9), amps(94, 99), steeper(), run(1.05, 3)],
  },
  {
    entry: 'F18',
    fault: 'pump-worn',
    system: 'B',
    checks: [shutOff(75, 95.5), fill(0.7, 0.9), amps(90, 101), run(1.05, 3)],
  },
  {
    entry: 'F19',
    fault: 'pump-uncoupled',
    system: 'B',
    checks: [endless, fill(-0.05, 0.02), amps(72, 75)],
  },
  {
    entry: 'F19 cap',
    fault: 'pump-uncoupled',
    system: 'F',
    checks: [endless, amps(40, 50, LIGHT)],
  },
  {
    entry: 'F20',
    fault: 'pump-dragging',
    system: 'B',
    checks: [
      fill(0.8, 0.995),
      amps(105, 125),
      start(1.5, 3, 'drag of 16 % takes little from a starting torque of about twice the rated'),
    ],
  },
  {
    entry: 'F21',
    fault: 'switch-nipple-plugged',
    system: 'B',
    checks: [
      check('highest above base, psi', 3, 20, (a, b) => a.highest - b.highest),
      check('lowest below base, psi', 0.5, 20, (a, b) => b.cutIn! - a.cutIn!),
      same,
      run(1.1, 3),
      inUse(0.3, 0.98),
    ],
  },
  {
    entry: 'F22',
    fault: 'switch-drift',
    system: 'B',
    checks: [
      check('cut-in moves, psi', 1, 10, (a, b) => Math.abs(b.cutIn! - a.cutIn!)),
      check('cut-out moves, psi', 1, 10, (a, b) => Math.abs(b.highest - a.highest)),
    ],
  },
  { entry: 'F23', fault: 'switch-chatter', system: 'B', checks: [inUse(3, 20)] },
  {
    entry: 'F24',
    fault: 'switch-welded',
    system: 'B',
    checks: [
      endless,
      check('highest above cut-out, psi', 5, 100, (a, b) => a.highest - b.highest),
      check('amps at no flow, % of base', 81, 89, (a, b) => (100 * a.shutOff().amps) / b.amps!),
    ],
  },
  {
    entry: 'F25',
    fault: 'cut-out-unreachable',
    system: 'B',
    checks: [
      endless,
      check('plateau below cut-out, psi', 1, 10, (a, b) => b.highest - a.highest),
      fill(-0.02, 0.02),
      amps(82, 88, 'the pump that cannot reach is worn far down and takes less at no flow'),
    ],
  },
  {
    entry: 'F27n',
    fault: 'frozen',
    system: 'B',
    startHour: 18,
    checks: [check('starts in use', 0, 0, (a) => a.startsInUse)],
  },
  {
    entry: 'F27w',
    fault: 'frozen',
    system: 'B',
    form: 'line',
    checks: [endless, check('amps in use, % of base', 66, 88, (a, b) => (100 * a.amps!) / b.amps!)],
  },
  {
    entry: 'F28',
    fault: 'filter-plugged',
    system: 'B',
    checks: [fill(0.97, 1.03), draw(0.4, 0.9), same],
  },
  {
    entry: 'F29',
    fault: 'rotor-locked',
    system: 'B',
    checks: [
      check('amps, % of base', 300, 650, (a, b) => (100 * a.highestAmps) / b.amps!),
      check('on for, s', 2, 10, (a) => a.runS),
      check('tries an hour', 4, 60, (a) => a.startsIdle),
    ],
  },
  {
    entry: 'F30',
    fault: 'start-circuit-weak',
    system: 'F',
    checks: [start(2, 10), check('start, s', 0.2, 2, (a) => a.startS!)],
  },
  {
    entry: 'F31',
    fault: 'run-capacitor-weak',
    system: 'F',
    checks: [fill(0.97, 1), amps(110, 140)],
  },
  {
    entry: 'F32',
    fault: 'overload-tripping',
    system: 'B',
    checks: [
      check(
        'starts in a long draw, more than base',
        3,
        40,
        (a, b) => a.long.starts - b.long.starts,
      ),
      check('lowest below cut-in, psi', 3, 60, (a, b) => b.cutIn! - a.long.lowest),
    ],
  },
  {
    entry: 'F33',
    fault: 'voltage-low',
    system: 'B',
    severity: 0.8,
    checks: [fill(0.96, 0.99), amps(97, 98), start(1.1, 3)],
  },
  { entry: 'F33 cap', fault: 'voltage-low', system: 'F', checks: [amps(103, 107), start(1.1, 3)] },
  { entry: 'F34', fault: 'voltage-high', system: 'B', checks: [amps(103, 107), start(0.3, 0.99)] },
  {
    entry: 'F34 cap',
    fault: 'voltage-high',
    system: 'F',
    checks: [amps(96, 98)],
  },
  {
    entry: 'F37',
    fault: 'joint-hot',
    system: 'B',
    checks: [fill(0.96, 1), amps(95, 103), start(1.01, 3)],
  },
  {
    entry: 'F38',
    fault: 'power-out',
    system: 'B',
    severity: 2,
    checks: [check('starts', 0, 0, (a) => a.runS)],
  },
  {
    entry: 'F44',
    fault: 'static-level-falling',
    system: 'B',
    checks: [fill(0.6, 0.95), amps(98, 100), shutOff(60, 95), run(1.05, 3)],
  },
  {
    entry: 'F45',
    fault: 'valve-part-shut',
    system: 'B',
    checks: [shutOff(99.5, 100.5), fill(0.6, 0.97), amps(94, 99), steeper()],
  },
  { entry: 'F48', fault: 'pump-changed', system: 'B', checks: [fill(1.1, 2), amps(110, 160)] },
];

export interface SignResult {
  row: SignRow;
  check: SignCheck;
  seen: number;
  within: boolean;
}

function seen(letter: string, faults: FaultSpec[], startHour?: number): Seen {
  let kept: { psi: number; amps: number } | null = null;
  const shutOff = () => {
    kept ??= shutOffOf(letter, faults);
    return kept;
  };
  return { ...signsOf(letter, faults, startHour), shutOff };
}

/** Every check of the matrix, seen on the plant. */
export function runSignMatrix(rows: readonly SignRow[] = SIGN_MATRIX): SignResult[] {
  const sound = new Map<string, Seen>();
  return rows.flatMap((row) => {
    const without = sound.get(row.system) ?? seen(row.system, []);
    sound.set(row.system, without);
    const { fault: name, severity, form } = row;
    const spec: FaultSpec = { name, onsetDay: 0, growthDays: 0 };
    if (severity !== undefined) spec.severity = severity;
    if (form !== undefined) spec.form = form;
    const withFault = seen(row.system, [spec], row.startHour);
    return row.checks.map((check) => {
      const value = check.of(withFault, without);
      return { row, check, seen: value, within: value >= check.low && value <= check.high };
    });
  });
}
