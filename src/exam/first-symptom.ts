import type { FaultName } from '../model/faults.ts';
import { PSI_PA } from '../units/table.ts';

/** The plant at one moment, as it truly is. */
export interface Moment {
  timeS: number;
  running: boolean;
  /** True pressure at the tee, Pa gauge. */
  pressurePaGauge: number;
  usedM3PerS: number;
  /** What the pump brings into the line. */
  deliveredM3PerS: number;
  reliefM3PerS: number;
  /** Share of gas or air in the pump. */
  gasShare: number;
  protectorOpen: boolean;
  /** The pressure that is sent repeats itself. */
  pressureStuck: boolean;
  /** Someone draws heavily and steadily. */
  steadyUse: boolean;
  cutInPaGauge: number;
  cutOutPaGauge: number;
  /** Shortest run that the motor is made for, s. */
  shortestRunS: number;
}

/**
 * What shows a fault first: `reading` the next reading; `run` the pump running; `rest` five
 * minutes of rest, when the gas has settled; `draw` someone drawing; `no-water` pressure 2 psi
 * below cut-in and the pump off; `over` 2 psi above cut-out and running; `switch` either of these;
 * `long-run` half an hour of running; `relief` water from the relief valve; `trip` the overload
 * protector open; `gas` a tenth of gas in the pump; `steady` an hour of steady heavy use; `hour`
 * an hour since the onset; `gap` a reading after the onset where there was one before; `stuck-run`
 * the pump running while the reading stands still; `short-run` the end of a run that was shorter
 * than the motor is made for; `weak` the pump running and, over half a minute, bringing a tenth
 * less than it brought at the same pressures before the onset (in a well that is sick from its
 * first moment: the pump running).
 */
export type Symptom =
  | 'reading'
  | 'run'
  | 'rest'
  | 'draw'
  | 'no-water'
  | 'over'
  | 'switch'
  | 'long-run'
  | 'relief'
  | 'trip'
  | 'gas'
  | 'steady'
  | 'hour'
  | 'gap'
  | 'stuck-run'
  | 'short-run'
  | 'weak';

/**
 * For each fault what shows it first, and from which share of the fully grown fault on (as the
 * trade meets it) it differs from a sound well beyond noise. Judgement, held wide.
 */
export const FIRST_SYMPTOMS: Record<Exclude<FaultName, 'unknown-trouble'>, [Symptom, number]> = {
  'tank-waterlogged': ['run', 0.15],
  'precharge-low': ['run', 0.3],
  'precharge-high': ['run', 0.15],
  // Up to half of the valve's travel the tank still gives its water.
  'tank-isolated': ['run', 0.5],
  'tank-undersized': ['short-run', 0.1],
  'leak-house': ['rest', 0.1],
  // Nothing but its length tells a burst pipe from a hose, be it in the house or in the well.
  'leak-burst': ['hour', 0.1],
  'fixture-running': ['rest', 0.1],
  'heavy-use': ['steady', 0.1],
  'relief-lifting': ['relief', 0],
  'check-valve-leak': ['rest', 0.1],
  'leak-before-house-valve': ['rest', 0.1],
  'drop-pipe-parted': ['hour', 0.1],
  'level-falling-in-run': ['weak', 0.2],
  'running-dry': ['gas', 0],
  'gas-in-water': ['run', 0.15],
  'screen-clogged': ['weak', 0.3],
  'static-level-falling': ['weak', 0.3],
  'pump-worn': ['weak', 0.3],
  'intake-clogged': ['weak', 0.3],
  'valve-part-shut': ['weak', 0.2],
  'pump-uncoupled': ['run', 0],
  'pump-dragging': ['run', 0.25],
  'pump-changed': ['run', 0.1],
  'rotor-locked': ['run', 0],
  'start-circuit-weak': ['run', 0.1],
  'run-capacitor-weak': ['run', 0.2],
  'overload-tripping': ['trip', 0],
  // A supply within 5 % is no fault.
  'voltage-low': ['run', 0.5],
  'voltage-high': ['run', 0.5],
  'joint-hot': ['run', 0.3],
  'power-out': ['no-water', 0],
  'switch-nipple-plugged': ['run', 0.2],
  'switch-drift': ['run', 0.4],
  'switch-chatter': ['run', 0.1],
  'switch-welded': ['over', 0],
  'cut-out-unreachable': ['long-run', 0.1],
  'switch-no-start': ['no-water', 0],
  'water-hammer': ['run', 0.1],
  frozen: ['switch', 0],
  'filter-plugged': ['draw', 0.4],
  'pressure-wire-open': ['reading', 0],
  'pressure-wire-short': ['reading', 0],
  'pressure-supply-sag': ['run', 0.2],
  'pressure-drift': ['run', 0.4],
  'pressure-port-plugged': ['run', 0.15],
  'current-clamp-gap': ['run', 0.1],
  'current-clamp-off': ['run', 0],
  // Above that the motor's running current is never cut.
  'current-clipped': ['run', 0.5],
  'adc-stuck': ['stuck-run', 0.1],
  'clock-jump': ['reading', 0],
  // Of a gap before the first reading a log knows nothing.
  'data-gap': ['gap', 0],
  'sampling-too-slow': ['run', 0.1],
};

const SETTLED_S = 300;
const LONG_RUN_S = 1800;
const HOUR_S = 3600;
const BEYOND_PA = 2 * PSI_PA;
const GAS_SHARE = 0.1;
const WEAK = 0.9;
const WEAK_S = 30;
/** The column of water has got under way by then. */
const UNDER_WAY_S = 10;
const BIN_PA = 4 * PSI_PA;

export interface WatchedFault {
  name: Exclude<FaultName, 'unknown-trouble'>;
  onsetS: number;
  growthS: number;
  severity: number;
}

/** Follows a plant from the onset of a fault to the first moment it could have been seen. */
export class SymptomWatch {
  seenS: number | null = null;
  readonly #fault: WatchedFault;
  readonly #symptom: Symptom;
  readonly #fromS: number;
  #firstS = Number.NaN;
  #stateSinceS = Number.NaN;
  /** How long the last run was, once it is over. */
  #ranS = Number.NaN;
  #running = false;
  #steadySinceS = Number.NaN;
  #lastS = Number.NaN;
  /** Delivery before the onset, by pressure: sum and number. */
  readonly #usual = new Map<number, { sum: number; n: number }>();
  /** Of the run in hand: seconds, delivery, and what it was before. */
  #weak = { s: 0, now: 0, before: 0 };

  constructor(fault: WatchedFault) {
    this.#fault = fault;
    const [symptom, share] = FIRST_SYMPTOMS[fault.name];
    this.#symptom = symptom;
    const grownS = fault.growthS * (share / fault.severity);
    // A fault that never grows this far is never seen.
    this.#fromS = share > fault.severity ? Number.POSITIVE_INFINITY : fault.onsetS + grownS;
  }

  follow(at: Moment): void {
    if (Number.isNaN(this.#firstS)) this.#firstS = at.timeS;
    if (this.#running && !at.running) this.#ranS = at.timeS - this.#stateSinceS;
    if (at.running !== this.#running || Number.isNaN(this.#stateSinceS)) {
      this.#running = at.running;
      this.#stateSinceS = at.timeS;
      this.#weak = { s: 0, now: 0, before: 0 };
    }
    if (this.#symptom === 'weak') this.#followDelivery(at);
    if (!at.steadyUse) this.#steadySinceS = Number.NaN;
    else if (Number.isNaN(this.#steadySinceS)) this.#steadySinceS = at.timeS;
    if (this.seenS !== null || at.timeS < this.#fromS) return;
    if (this.#shows(at)) this.seenS = at.timeS;
  }

  #shows(at: Moment): boolean {
    const lastedS = at.timeS - this.#stateSinceS;
    const noWater = !at.running && at.pressurePaGauge < at.cutInPaGauge - BEYOND_PA;
    const over = at.running && at.pressurePaGauge > at.cutOutPaGauge + BEYOND_PA;
    const shows: Record<Symptom, boolean> = {
      reading: true,
      run: at.running,
      rest: !at.running && lastedS >= SETTLED_S,
      draw: at.usedM3PerS > 0,
      'no-water': noWater,
      over,
      switch: noWater || over,
      'long-run': at.running && lastedS >= LONG_RUN_S,
      relief: at.reliefM3PerS > 0,
      trip: at.protectorOpen,
      gas: at.gasShare >= GAS_SHARE,
      steady: at.timeS - this.#steadySinceS >= HOUR_S,
      gap: this.#firstS < this.#fault.onsetS,
      'stuck-run': at.running && at.pressureStuck,
      'short-run': !at.running && lastedS === 0 && this.#ranS < at.shortestRunS,
      hour: at.timeS - this.#fault.onsetS >= HOUR_S,
      weak: at.running && this.#isWeak(),
    };
    return shows[this.#symptom];
  }

  #followDelivery(at: Moment): void {
    const passedS = at.timeS - this.#lastS;
    this.#lastS = at.timeS;
    if (!at.running || at.timeS - this.#stateSinceS < UNDER_WAY_S) return;
    const bin = Math.floor(at.pressurePaGauge / BIN_PA);
    const usual = this.#usual.get(bin) ?? { sum: 0, n: 0 };
    if (at.timeS < this.#fault.onsetS) {
      this.#usual.set(bin, { sum: usual.sum + at.deliveredM3PerS, n: usual.n + 1 });
    } else if (usual.n > 0) {
      this.#weak.s += passedS;
      this.#weak.now += at.deliveredM3PerS * passedS;
      this.#weak.before += (usual.sum / usual.n) * passedS;
    }
  }

  #isWeak(): boolean {
    if (this.#usual.size === 0) return true;
    const { s, now, before } = this.#weak;
    return s >= WEAK_S && now < WEAK * before;
  }
}
