import type { Well } from '../../model/well.ts';
import type { EstimationState, Known } from '../estimation/state.ts';
import { evaluateDrain } from './drain.ts';
import { evaluateFill } from './fill.ts';
import { beforeOf, type OwnerTestState } from './gather.ts';
import { evaluateIsolation } from './isolation.ts';
import { evaluatePrecharge } from './precharge.ts';
import { evaluateRecovery } from './recovery.ts';
import { evaluateSounding } from './sounding.ts';
import { evaluateThrottle } from './throttle.ts';
import type { Job, TestOutcome } from './types.ts';

/** Windows of one isolation test lie within this of one another, s. */
const ONE_TEST_S = 2 * 86_400;

/** What holds for tests at a time: equipment and the scale of volumes of that epoch. */
export interface ScaleAt {
  known: Known;
  tankConstantPaM3: number;
  tankRelStd: number;
}

export interface Asked {
  well: Well;
  estimation: EstimationState;
  scaleAt: (timeS: number) => ScaleAt;
  noise: { restPa: number; runningPa: number };
  /** Only those whose readings are all in: for what is said while the log goes on. */
  closedOnly?: boolean;
}

/**
 * What the tests of the well file gave, in the order of their start. A test whose second half
 * comes later (the valve open after the valve shut) is judged anew with it.
 */
export function testOutcomes(state: OwnerTestState, asked: Asked): TestOutcome[] {
  const jobs = state.records
    .filter(({ isClosed }) => isClosed || asked.closedOnly !== true)
    .map((record): Job => {
      const test = asked.well.otherTests[record.index]!;
      const shares = record.isClosed ? record.shares : asked.estimation.gas.shares.slice();
      const before = record.before ?? beforeOf(asked.estimation);
      const scale = asked.scaleAt(test.startS);
      const tankConstantPaM3 = scale.tankConstantPaM3 * before.tankFactor;
      const { noise } = asked;
      return { ...scale, test, record: { ...record, shares }, before, tankConstantPaM3, noise };
    })
    .sort((a, b) => a.test.startS - b.test.startS || a.record.index - b.record.index);
  return jobs.flatMap((job, k) => outcomeOf(job, jobs.slice(0, k), { jobs, well: asked.well }));
}

function outcomeOf(
  job: Job,
  earlier: readonly Job[],
  { jobs, well }: { jobs: readonly Job[]; well: Well },
): TestOutcome[] {
  const { kind, startS } = job.test;
  const last = earlier.findLast((other) => other.test.kind === kind);
  switch (kind) {
    case 'isolation_test': {
      if (last !== undefined && startS - last.test.startS < ONE_TEST_S) return [];
      return [evaluateIsolation(isolationGroup(job, jobs))];
    }
    case 'precharge_test':
      return [evaluatePrecharge(job)];
    case 'drain_test':
      return [evaluateDrain(job)];
    case 'fill_test':
      return [evaluateFill(job)];
    case 'throttle_test':
      return [evaluateThrottle(job, last !== undefined && samePump(last, job, well) ? last : null)];
    case 'recovery_test':
      return [evaluateRecovery(job)];
    case 'sounding': {
      const rested = jobs.findLast(
        ({ test }) =>
          test.kind === 'sounding' &&
          test.measured.pumpRunning !== 1 &&
          Math.abs(test.startS - startS) < ONE_TEST_S,
      );
      return [evaluateSounding(job, rested ?? null)];
    }
  }
}

/** No service between two tests changed what the pump delivers. */
function samePump(a: Job, b: Job, { services }: Well): boolean {
  return !services.some(
    ({ onS, resets }) =>
      onS > a.test.startS &&
      onS <= b.test.startS &&
      resets.some((kind) => kind === 'pump' || kind === 'well' || kind === 'plumbing'),
  );
}

/** A window and those that follow it, each soon after the one before. */
function isolationGroup(first: Job, all: readonly Job[]): Job[] {
  const group = [first];
  for (const job of all) {
    const { kind, startS } = job.test;
    const sinceS = startS - group.at(-1)!.test.startS;
    if (kind === 'isolation_test' && job !== first && sinceS >= 0 && sinceS < ONE_TEST_S)
      group.push(job);
  }
  return group;
}
