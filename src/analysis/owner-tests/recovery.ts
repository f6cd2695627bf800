import { CLOCK_S } from './gather.ts';
import { fitRecovery, type RecoveryFit } from './recovery-fit.ts';
import { runFlows } from './recovery-flows.ts';
import { lineOf, type Point, pointsOf, type RunSpan, runSpans } from './series.ts';
import { weighDrawn } from './sounding.ts';
import type { Found, Job, TestOutcome } from './types.ts';

const LEAST_PARTS = 4;

/**
 * A steady draw and the hours after it. Each run shows the level by its delivery: the one-tank
 * model, emptied by the runs as they were, is fitted to those levels for specific capacity and
 * storage, with today's rested level left open.
 */
export function evaluateRecovery(job: Job): TestOutcome {
  const { startS, stopS } = job.test;
  const outcome = { test: 'recovery', startS, stopS } as const;
  const no = (unusable: string): TestOutcome => ({ ...outcome, unusable, found: [], bearing: [] });
  const points = pointsOf(job);
  if (points.length === 0) return no('the log has no pressure from then');
  if (Number.isNaN(job.before.learntB0))
    return no('delivery was not yet learnt: it takes twelve runs before the test');
  const runs = runSpans(points);
  if (!runs.some((run) => run.stopS > startS && run.startS < stopS))
    return no('the pump did not run during the draw: it was too small to tell');
  const scaled = withScale(job, points, runs);
  if (scaled === null)
    return no('neither a bucket test nor the draw itself gives the scale of volumes');
  const flows = runFlows(scaled, points, runs);
  if (flows.reduce((sum, { parts }) => sum + parts.length, 0) < LEAST_PARTS)
    return no('too few readings stand in its runs to follow a level');
  return { ...outcome, unusable: null, ...judged(job, fitRecovery(scaled, flows)) };
}

/** With the tank constant of the file, or what the steady draw shows while the pump rests. */
function withScale(job: Job, points: readonly Point[], runs: readonly RunSpan[]): Job | null {
  if (!Number.isNaN(job.tankConstantPaM3)) return job;
  const { startS, stopS, measured } = job.test;
  const rests = runs.slice(1).flatMap((run, k) => {
    const fromS = Math.max(runs[k]!.stopS + 20, startS + CLOCK_S);
    const inside = points.filter(
      (p) => !p.on && p.timeS > fromS && p.timeS < Math.min(run.startS - 2, stopS - CLOCK_S),
    );
    const line = lineOf(inside);
    return line !== null && line.slope > 0 ? [line.slope] : [];
  });
  if (rests.length === 0) return null;
  const flow = measured.flowM3PerS!;
  const tankConstantPaM3 = flow / (rests.reduce((sum, r) => sum + r, 0) / rests.length);
  return { ...job, tankConstantPaM3, tankRelStd: measured.flowM3PerSStd! / flow };
}

function judged(job: Job, fit: RecoveryFit): Pick<TestOutcome, 'found' | 'bearing'> {
  const { intakeDepthM, staticLevelM } = job.known.equipment;
  const { capacity, tauS, drawnM, offsetM } = fit;
  const found: Found[] = [
    { what: 'specific capacity', ...capacity, unit: 'm2/s' },
    { what: 'time of recovery by two thirds', ...tauS, unit: 's' },
    { what: 'drawdown that came and went', ...drawnM, unit: 'm' },
    { what: 'head missing before it, as level', ...offsetM, unit: 'm' },
  ];
  if (intakeDepthM === null || staticLevelM === null) return { found, bearing: [] };
  const column = Math.max(intakeDepthM.value - staticLevelM.value, 3);
  const logStd = Math.min(drawnM.std / Math.max(drawnM.value, 0.3), 1.5);
  return { found, bearing: weighDrawn(drawnM.value / column, logStd) };
}
