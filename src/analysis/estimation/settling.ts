import type { TrackedRun } from '../runs/tracker.ts';
import type { DayRecord } from './days.ts';
import type { EstimationState, Known } from './state.ts';

/** White noise of pressure, Pa, at rest and while the pump runs: learnt by the runs stage. */
export interface PressureNoise {
  restPa: number;
  runningPa: number;
}

/** A run that is over, with everything that is needed to settle it. */
export interface Settling {
  state: EstimationState;
  known: Known;
  run: TrackedRun;
  noise: PressureNoise;
  day: (timeS: number) => DayRecord;
}
