import { PSI_PA } from '../../units/table.ts';
import { binsOf } from './gather.ts';
import { bearings, meanOver, normal, normalUpTo } from './likelihood.ts';
import type { Bearing, Job } from './types.ts';

/** Common practice: the air of the tank stands 2 psi below cut-in. */
const BELOW_CUT_IN_PA = 2 * PSI_PA;
/** Tanks that nobody complains of differ from that by about this. */
const USUAL_STD_PA = 2 * PSI_PA;

/** A precharge that was measured, or one that is only known to lie below the lowest reading. */
export interface AirSeen {
  valuePaGauge: number;
  stdPa: number;
  isBelow: boolean;
}

/** A cut-in this far from the usual one is today's: the switch or the sensor has moved. */
const MOVED_PA = 2 * PSI_PA;

/** Cut-in at the last run before the test, where it stands off the usual one; else null. */
function movedCutIn(job: Job, usualPa: number): number | null {
  const points = binsOf(job.record);
  const at = points.findLastIndex(
    (p, i) => p.on && points[i - 1]?.on === false && p.timeS < job.test.startS,
  );
  if (at < 0) return null;
  const seen =
    Math.min(points[at]!.pressurePa, points[at - 1]!.pressurePa) - job.known.atmospherePa;
  return Math.abs(seen - usualPa) > MOVED_PA ? seen : null;
}

/** The switch's cut-in as the log or else the file knows it [Pa gauge]; NaN where neither does. */
export function cutInOf(job: Job): number {
  const learnt = job.before.cutInPaGauge;
  const usual = Number.isNaN(learnt) ? (job.known.equipment.cutInPaGauge?.value ?? NaN) : learnt;
  // A gauge of its own is asked against the usual cut-in, the log's own sensor against today's.
  return job.test.kind === 'drain_test' ? (movedCutIn(job, usual) ?? usual) : usual;
}

export const wantedPrecharge = (job: Job): number => cutInOf(job) - BELOW_CUT_IN_PA;

/** What a precharge says of the faults of the tank's air. */
export function weighAir(job: Job, seen: AirSeen): Bearing[] {
  const wanted = wantedPrecharge(job);
  const cutIn = cutInOf(job);
  const { atmospherePa } = job.known;
  const density = (mean: number, spread: number): number => {
    const std = Math.hypot(seen.stdPa, spread);
    // A gauge does not read below zero: what lies there is read as zero.
    if (seen.isBelow || seen.valuePaGauge < std) {
      const up = normalUpTo((Math.max(seen.valuePaGauge, 0) + std - mean) / std);
      return seen.isBelow ? up / wanted : up / std / 2;
    }
    return normal(seen.valuePaGauge, mean, std);
  };
  const range = (low: number, high: number): number =>
    meanOver(low, high, (mean) => density(mean, 0.5 * PSI_PA));
  const sound = density(wanted, USUAL_STD_PA);
  // A tank that is shut off keeps its water, and its air then stands at any pressure.
  const isolated = 0.5 * sound + 0.5 * range(wanted, cutIn + 20 * PSI_PA);
  return bearings(
    [
      ['precharge-low', range(0.15 * wanted, wanted - 3 * PSI_PA)],
      ['precharge-high', range(wanted + 3 * PSI_PA, cutIn + 14 * PSI_PA)],
      ['tank-waterlogged', range(-0.6 * atmospherePa, 0.35 * wanted)],
      ['tank-isolated', isolated],
    ],
    sound,
  );
}
