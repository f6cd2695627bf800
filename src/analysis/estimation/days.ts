import { localDate, startOfNextLocalDayS } from '../../base/zone.ts';
import type { DayLoss } from './loss.ts';

/** What a calendar day of the well has gathered; volumes in reference units of its epoch. */
export interface DayRecord {
  date: string;
  startS: number;
  endS: number;
  epoch: number;
  coveredS: number;
  /** Growth of the gas in the tank, that is water gone out of it. */
  change: number;
  energyJ: number;
  /** Pumping whose amps were not seen, s. */
  unseenAmpsS: number;
  starts: number;
  runS: number;
  /** Integral of sqrt(p/ref) over pumping, minutes: loss that does not pause goes on there. */
  rootRunMin: number;
  loss: DayLoss | null;
  pausing: { share: number; std: number };
  /** How far the tank constant had moved from the scale's at worst, relative. */
  tankDoubt: number;
  /** How far runs strayed from the delivery believed, relative, smoothed, at worst. */
  strayed: number;
  /** Pumped in runs begun that day, as known when the day closed. */
  pumpedSoFar: number;
  /** Pumped in runs that were followed by the half minute because the motor ran unloaded. */
  weakPumped: number;
  weakStd: number;
  /** Deepest drawdown that each well supposed gives, m, and which well it is of. */
  deepestM: number[];
  /** Whether a start or stop could be read that day. */
  levelSeen: boolean;
  well: number;
  indexSum: number;
  indexWeight: number;
  /** Sum over time of tee pressure while pumping, Pa s gauge, and of the seconds. */
  pressureSum: number;
  pressureS: number;
}

export function dayAt(zone: string, timeS: number, epoch: number): DayRecord {
  return {
    date: localDate(zone, timeS),
    startS: timeS,
    endS: startOfNextLocalDayS(zone, timeS),
    epoch,
    coveredS: 0,
    change: 0,
    energyJ: 0,
    unseenAmpsS: 0,
    starts: 0,
    runS: 0,
    rootRunMin: 0,
    loss: null,
    pausing: { share: 0, std: 0 },
    tankDoubt: 0,
    strayed: 0,
    pumpedSoFar: 0,
    weakPumped: 0,
    weakStd: 0,
    deepestM: [],
    levelSeen: false,
    well: 0,
    indexSum: 0,
    indexWeight: 0,
    pressureSum: 0,
    pressureS: 0,
  };
}
