import { PSI_PA } from '../constants.ts';

/** How the device reports. */
export interface Reporting {
  policy: 'fast-while-running' | 'fixed' | 'on-change';
  /** Interval at rest, and the only one of `fixed`, s. */
  restS: number;
  /** Interval while the pump runs, s. */
  runS: number;
  /** What counts as a change. */
  deadbandPa: number;
  deadbandA: number;
  /** `on-change`: a value is sent after this time in any case, s. */
  longestSilenceS: number;
}

export function usualReporting(policy: Reporting['policy'], restS: number): Reporting {
  return {
    policy,
    restS,
    runS: policy === 'fixed' ? restS : Math.min(1, restS),
    deadbandPa: 0.3 * PSI_PA,
    deadbandA: 0.3,
    longestSilenceS: 60,
  };
}

/** One row as reported; null is no reading. */
export interface Row {
  timeS: number;
  pressurePaGauge: number | null;
  currentA: number | null;
}

const RUNNING_A = 0.5;

/** Decides what the device sends of what it samples. */
export class Reporter {
  readonly #how: Reporting;
  #sentPa = Number.NaN;
  #sentPaAtS = Number.NEGATIVE_INFINITY;
  #sentA = Number.NaN;
  #sentAAtS = Number.NEGATIVE_INFINITY;
  #lastA = 0;

  constructor(how: Reporting) {
    this.#how = how;
  }

  /** Time to the next sample, s. */
  intervalS(): number {
    const how = this.#how;
    if (how.policy === 'fixed') return how.restS;
    if (how.policy === 'on-change') return how.runS;
    return this.#lastA > RUNNING_A ? how.runS : how.restS;
  }

  /** What is sent of one sample, or null. */
  row(timeS: number, pressurePa: number, currentA: number): Row | null {
    this.#lastA = currentA;
    if (this.#how.policy !== 'on-change') {
      return { timeS, pressurePaGauge: pressurePa, currentA };
    }
    const how = this.#how;
    const sendP =
      !(Math.abs(pressurePa - this.#sentPa) < how.deadbandPa) ||
      timeS - this.#sentPaAtS >= how.longestSilenceS;
    const sendA =
      !(Math.abs(currentA - this.#sentA) < how.deadbandA) ||
      timeS - this.#sentAAtS >= how.longestSilenceS;
    if (!sendP && !sendA) return null;
    if (sendP) {
      this.#sentPa = pressurePa;
      this.#sentPaAtS = timeS;
    }
    if (sendA) {
      this.#sentA = currentA;
      this.#sentAAtS = timeS;
    }
    return { timeS, pressurePaGauge: sendP ? pressurePa : null, currentA: sendA ? currentA : null };
  }
}
