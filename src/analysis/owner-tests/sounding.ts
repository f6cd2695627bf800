import { GRAVITY_M_PER_S2 } from '../../physics/constants.ts';
import { bearings, meanOver, normal } from './likelihood.ts';
import { pointsOf, runSpans } from './series.ts';
import type { Bearing, Found, Job, TestOutcome } from './types.ts';

const RHO = 999.7;
/** Rested levels go up and down by this over the seasons (common practice). */
const SEASON_M = 1.2;
/** A level counts as rested this long after a stop, s. */
const RESTED_S = 3600;
/** How far levels fall where they do, m. */
const FALL_M = { least: 1.5, most: 30 };

/** Depth to water: it tells a level that fell from a pump that wears, which look alike in runs. */
export function evaluateSounding(job: Job, rested: Job | null): TestOutcome {
  const { startS, stopS, measured } = job.test;
  const outcome = { test: 'sounding', startS, stopS } as const;
  const running = measured.pumpRunning === 1;
  const levelM = measured.levelM!;
  const stdM = measured.levelMStd!;
  const what = `depth to water, pump ${running ? 'running' : 'resting'}`;
  const found: Found[] = [{ what, value: levelM, std: stdM, unit: 'm' }];
  if (running) return pumping(job, outcome, found, rested);
  const known = job.known.equipment.staticLevelM;
  if (known === null) {
    const unusable = 'the well file has no static level to compare it with; it is the first';
    return { ...outcome, unusable, found, bearing: [] };
  }
  const runs = runSpans(pointsOf(job)).filter((run) => run.startS < startS);
  const lastStopS = runs.at(-1)?.stopS ?? job.before.lastStopS;
  if (startS - lastStopS < RESTED_S)
    found.push({ what: 'rest before it', value: startS - lastStopS, std: null, unit: 's' });
  const value = levelM - known.value;
  const std = Math.hypot(stdM, known.std, startS - lastStopS < RESTED_S ? 1 : 0);
  found.push({ what: 'lower than the static level of the file', value, std, unit: 'm' });
  return { ...outcome, unusable: null, found, bearing: weigh(job, value, std, found) };
}

/** Head that delivery has lost since it was learnt, as metres of level; null where not learnt. */
function lostHeadM({ before, known }: Job): { value: number; std: number } | null {
  const { learntB0, learntRelStd, b0, b1, relStd } = before;
  if (Number.isNaN(learntB0) || !(b1 < 0)) return null;
  const perM = (RHO * GRAVITY_M_PER_S2) / known.band.halfPa;
  const value = (learntB0 - b0) / -b1 / perM;
  const std = Math.hypot((learntB0 * Math.hypot(learntRelStd, relStd)) / -b1 / perM, 0.25 * value);
  return { value, std };
}

function weigh(job: Job, lowerM: number, stdM: number, found: Found[]): Bearing[] {
  const lost = lostHeadM(job);
  const usual = Math.hypot(stdM, SEASON_M);
  const same = normal(lowerM, 0, usual);
  const anyFall = meanOver(FALL_M.least, FALL_M.most, (m) => normal(lowerM, m, usual), 60);
  if (lost !== null) found.push({ what: 'head lost in the runs, as level', ...lost, unit: 'm' });
  // Where the runs tell how much head is gone, a level that explains it lies just there.
  const explains =
    lost !== null && lost.value > 2 * lost.std
      ? 0.8 * normal(lowerM, lost.value, Math.hypot(usual, lost.std)) + 0.2 * anyFall
      : anyFall;
  return bearings(
    [
      ['static-level-falling', explains],
      ['pump-worn', same],
      ['intake-clogged', same],
      ['valve-part-shut', same],
    ],
    same,
  );
}

/** Drawdown while pumping, and what the well gives for it. */
function pumping(
  job: Job,
  outcome: { readonly test: 'sounding'; startS: number; stopS: number },
  found: Found[],
  rested: Job | null,
): TestOutcome {
  const { equipment, referencePa } = job.known;
  const before = rested?.test.measured;
  const level = job.test.measured;
  const restedM = before?.levelM ?? equipment.staticLevelM?.value;
  const restedStd = before?.levelMStd ?? equipment.staticLevelM?.std ?? 0;
  if (restedM === undefined) {
    const unusable = 'without a rested level it gives no drawdown: have that sounded too';
    return { ...outcome, unusable, found, bearing: [] };
  }
  const value = level.levelM! - restedM;
  const std = Math.hypot(level.levelMStd!, restedStd);
  found.push({ what: 'drawdown', value, std, unit: 'm' });
  const { tankConstantPaM3: tank, tankRelStd, before: learnt } = job;
  if (!Number.isNaN(tank) && value > 2 * std) {
    const flow = (learnt.b0 * tank) / referencePa / 60;
    const rel = Math.hypot(std / value, tankRelStd, learnt.relStd);
    const capacity = flow / value;
    found.push({
      what: 'specific capacity',
      value: capacity,
      std: capacity * rel,
      unit: 'm2/s',
    });
  }
  const intake = equipment.intakeDepthM;
  if (intake === null) return { ...outcome, unusable: null, found, bearing: [] };
  const share = value / Math.max(intake.value - restedM, 1);
  found.push({
    what: 'share of the water over the intake that is drawn down',
    value: share,
    std: std / Math.max(intake.value - restedM, 1),
    unit: '1',
  });
  return { ...outcome, unusable: null, found, bearing: weighDrawn(share) };
}

/** How much of the column a run draws down: little in a sound well, most where it falls short. */
export function weighDrawn(share: number, logStd = 0): Bearing[] {
  const log = Math.log(Math.max(share, 0.01));
  const much = normal(log, Math.log(0.5), Math.hypot(0.5, logStd));
  const usual = normal(log, Math.log(0.1), Math.hypot(0.9, logStd));
  return bearings(
    [
      ['level-falling-in-run', much],
      ['screen-clogged', 0.7 * much + 0.3 * usual],
      ['pump-worn', usual],
      ['static-level-falling', usual],
    ],
    usual,
  );
}
