import { CHANNELS, type Channel } from '../../model/reading.ts';
import type { Well } from '../../model/well.ts';
import { PSI_PA } from '../../units/table.ts';
import type { SignalConfig } from './types.ts';

/** A tank gauge below this says that its wire is open (common practice). */
const LOWEST_PA = -2 * PSI_PA;
const LEAST_HIGHEST_PA = 150 * PSI_PA;
const MOST_HIGHEST_PA = 300 * PSI_PA;
/** A current sensor at rest may show this much below zero from its offset. */
const LOWEST_A = -0.3;
/** Above the start current of any motor, which is 3 to 7 times its running current. */
const HIGHEST_TIMES = 10;
const HIGHEST_UNKNOWN_A = 200;
/** Above any idle load on the conductor, below the running current of any well pump. */
const RUNNING_UNKNOWN_A = 1;
const RUNNING_SHARE = 0.25;

const LIMITS: Record<Channel, [number, number]> = {
  pressure: [LOWEST_PA, MOST_HIGHEST_PA],
  current: [LOWEST_A, HIGHEST_UNKNOWN_A],
  'current-peak': [LOWEST_A, HIGHEST_UNKNOWN_A],
  'start-time': [0, 3600],
  mains: [0, 700],
  level: [-50, 1000],
  flow: [-0.1, 1],
  'air-temperature': [180, 350],
  'pressure-raw': [-0.1, 65_534.5],
  'current-raw': [-0.1, 65_534.5],
};

/** What the signal stage can know from the well file. */
export function signalConfigOf(well: Well): SignalConfig {
  const { tankRatedPaGauge, reliefPaGauge, cutOutPaGauge } = well.equipment;
  const { serviceFactorCurrentA, fullLoadCurrentA } = well.equipment;
  const motorA = serviceFactorCurrentA?.value ?? fullLoadCurrentA?.value ?? null;
  const reach = [
    1.5 * (tankRatedPaGauge?.value ?? 0),
    2 * (reliefPaGauge?.value ?? 0),
    2 * (cutOutPaGauge?.value ?? 0),
  ];
  const highest = CHANNELS.map((channel) => LIMITS[channel][1]);
  const reachPa = Math.max(...reach);
  if (reachPa > 0) {
    highest[0] = Math.min(MOST_HIGHEST_PA, Math.max(LEAST_HIGHEST_PA, reachPa));
  }
  if (motorA !== null) highest[1] = highest[2] = HIGHEST_TIMES * motorA;
  return {
    lowest: CHANNELS.map((channel) => LIMITS[channel][0]),
    highest,
    runningAboveA: motorA === null ? RUNNING_UNKNOWN_A : RUNNING_SHARE * motorA,
    runningAboveRaw: null,
    policy: well.logging.policy,
    longestSilenceS: well.logging.longestSilenceS,
  };
}
