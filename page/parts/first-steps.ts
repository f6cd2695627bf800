import type { Outline } from '../../src/model/study.ts';
import type { Well } from '../../src/model/well.ts';
import type { SAY } from '../words.ts';

/** A volume drawn once may be misread; thrice tells how far it can be trusted. */
export const BUCKET_TESTS = 3;

export type StepName = keyof typeof SAY.work.visit.step;

/** One of the first steps: done, to do, or not to be seen from here; and where it is made. */
export interface FirstStep {
  name: StepName;
  state: 'done' | 'open' | 'cannotSee';
  /** How often it was made, where once is not enough. */
  made?: number;
  sheet: keyof typeof SAY.work.visit.goTo | null;
}

/** What came so far, as far as it was looked at. */
export interface Came {
  pressure: boolean;
  current: boolean;
  /** Comes as volts or counts that wait for a calibration, or went through one. */
  rawPressure: boolean;
  rawCurrent: boolean;
}

/** The first steps of a well in their order, each by what file and readings say of it. */
export function firstSteps(well: Well, outline: Outline | null, came: Came): FirstStep[] {
  const { calibrations, bucketTests, otherTests, equipment } = well;
  const step = (
    name: StepName,
    isDone: boolean | null,
    sheet: FirstStep['sheet'] = null,
  ): FirstStep => ({
    name,
    state: isDone === null ? 'cannotSee' : isDone ? 'done' : 'open',
    sheet: isDone === true ? null : sheet,
  });
  const has = (channel: 'pressure' | 'current') =>
    calibrations.some((one) => one.channel === channel && one.untilS === null);
  const made = (...kinds: string[]) => otherTests.some(({ kind }) => kinds.includes(kind));
  return [
    step('chain', well.sensing !== null, 'gauges'),
    step('pressure', came.pressure),
    step('current', came.current),
    // A device that sends Pa or A is calibrated by itself: that is not seen from here.
    step('zero', has('pressure') || (came.pressure && !came.rawPressure ? null : false), 'gauges'),
    step('clamp', has('current') || (came.current && !came.rawCurrent ? null : false), 'gauges'),
    step('runs', (outline?.pump.length ?? 0) > 0, 'runs'),
    step('precharge', made('precharge_test', 'drain_test'), 'tests'),
    step('fill', made('fill_test'), 'tests'),
    {
      ...step('bucket', bucketTests.length >= BUCKET_TESTS, 'tests'),
      made: bucketTests.length,
    },
    step('isolation', made('isolation_test'), 'tests'),
    step('level', equipment.staticLevelM !== null || made('sounding'), 'tests'),
    step('insulation', null),
  ];
}
