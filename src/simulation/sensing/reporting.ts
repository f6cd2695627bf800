import { PSI_PA } from '../constants.ts';
import type { Row } from './row.ts';

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

  /**
   * Takes out of a sample what need not be sent, unless `all` of it was asked for; false where
   * nothing is left.
   */
  keep(row: Row, pressurePa: number, currentA: number, all: boolean): boolean {
    this.#lastA = currentA;
    if (all || this.#how.policy !== 'on-change') return true;
    const { deadbandPa, deadbandA, longestSilenceS } = this.#how;
    const { timeS } = row;
    const due = (apart: number, deadband: number, sentAtS: number) =>
      !(apart < deadband) || timeS - sentAtS >= longestSilenceS;
    if (due(Math.abs(pressurePa - this.#sentPa), deadbandPa, this.#sentPaAtS)) {
      this.#sentPa = pressurePa;
      this.#sentPaAtS = timeS;
    } else row.pressurePaGauge = null;
    if (due(Math.abs(currentA - this.#sentA), deadbandA, this.#sentAAtS)) {
      this.#sentA = currentA;
      this.#sentAAtS = timeS;
    } else row.currentA = null;
    return row.pressurePaGauge !== null || row.currentA !== null;
  }
}
