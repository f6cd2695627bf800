import { takeTests } from '../analysis/diagnosis/findings.ts';
import { spokenBy } from '../analysis/diagnosis/tests-speak.ts';
import { type BucketProblem, evaluateBucket } from '../analysis/estimation/bucket.ts';
import { type EpochScale, scales } from '../analysis/estimation/summary.ts';
import { HOUSE_SHARE } from '../analysis/owner-tests/isolation.ts';
import { testOutcomes } from '../analysis/owner-tests/outcomes.ts';
import type { TestOutcome } from '../analysis/owner-tests/types.ts';
import { instant } from '../base/instant.ts';
import type { DayEntry, TestEntry } from '../model/study.ts';
import type { Pipeline } from './pipeline.ts';

/** What the tests of the well file gave, at the scale of volumes known now. */
export function testsNow(
  pipeline: Pipeline,
  list: EpochScale[],
  closedOnly = false,
): TestOutcome[] {
  const { estimation, tracker, well } = pipeline;
  const scaleAt = (timeS: number) => {
    const scale = list.findLast(({ fromS }) => fromS <= timeS) ?? list[0]!;
    const { known, tankConstantPaM3 } = scale;
    return { known, tankConstantPaM3, tankRelStd: scale.relStd };
  };
  const noise = { restPa: tracker.pressureNoise.std, runningPa: tracker.runningNoise.std };
  const { state } = estimation;
  return testOutcomes(pipeline.ownerTests, { well, estimation: state, scaleAt, noise, closedOnly });
}

/** A test has come to its end: what all of them say now goes to the findings. */
export function weighTests(pipeline: Pipeline): void {
  const { estimation, well, plain, tracker } = pipeline;
  const { scales: list } = scales(estimation.state, well, tracker.pressureNoise.std);
  const spoken = spokenBy(testsNow(pipeline, list, true), well.services);
  takeTests(plain.findings, spoken, pipeline.lastS);
}

export const testEntries = (outcomes: readonly TestOutcome[]): TestEntry[] =>
  outcomes.map(({ startS, stopS, ...rest }) => ({
    test: rest.test,
    start: instant(startS),
    stop: instant(stopS),
    unusable: rest.unusable,
    found: rest.found,
    bearing: rest.bearing.map(({ fault, logLikelihood }) => ({ fault, logLikelihood })),
  }));

/** The same in the published form, for whoever asks for the tests alone. */
export function testEntriesNow(pipeline: Pipeline): TestEntry[] {
  const { estimation, well, tracker } = pipeline;
  const { scales: list } = scales(estimation.state, well, tracker.pressureNoise.std);
  return testEntries(testsNow(pipeline, list));
}

/** Why a bucket test of the well file cannot be used. */
export const WHY_NO_BUCKET: Record<BucketProblem['problem'], string> = {
  'run-near': 'the pump ran within five minutes of it',
  'few-readings': 'too few readings stand around it',
  'no-draw': 'pressure shows no draw near its times',
  'not-in-log': 'the log has no readings from then',
};

/** What one bucket test of the well file gave by itself; null where the file has none of then. */
export function bucketEntry(pipeline: Pipeline, startS: number): TestEntry | null {
  const { buckets, gas, medianCutInPa, medianCutOutPa } = pipeline.estimation.state;
  const record = buckets.find((one) => one.startS === startS);
  if (record === undefined) return null;
  const noise = pipeline.tracker.pressureNoise.std;
  const result = evaluateBucket(record, gas, noise);
  const times = { start: instant(record.startS), stop: instant(record.stopS) };
  const entry: TestEntry = { test: 'bucket', ...times, unusable: null, found: [], bearing: [] };
  if (result.problem !== null) return { ...entry, unusable: WHY_NO_BUCKET[result.problem] };
  const { tankConstantPaM3: value, std } = result;
  entry.found.push({ what: 'tank constant', value, std, unit: 'Pa m3' });
  const { atmospherePa } = pipeline.estimation.known;
  const share = 1 / (medianCutInPa + atmospherePa) - 1 / (medianCutOutPa + atmospherePa);
  if (share > 0)
    entry.found.push({
      what: 'water from cut-out down to cut-in',
      value: value * share,
      std: std * share,
      unit: 'm3',
    });
  return entry;
}

/** An isolation test speaks for the days round it, as far as they lose as much as its own day. */
const SPEAKS_S = 14 * 86_400;
const ALIKE = 1.5;

/** Puts the house's share of the loss into the days that a usable isolation test speaks for. */
export function addHouseShare(days: DayEntry[], outcomes: readonly TestOutcome[]): void {
  const lossOf = (day: DayEntry): number => day.lossM3 ?? day.lossPerTank ?? NaN;
  for (const { found, startS } of outcomes) {
    const share = found.find(({ what }) => what === HOUSE_SHARE);
    if (share === undefined) continue;
    const sinceS = (day: DayEntry): number => startS - Date.parse(`${day.date}T12:00:00Z`) / 1000;
    const own = days.findLast((day) => Math.abs(sinceS(day)) < 86_400 && lossOf(day) > 0);
    if (own === undefined) continue;
    for (const day of days) {
      const ratio = lossOf(day) / lossOf(own);
      const isAlike = ratio < ALIKE && ratio > 1 / ALIKE;
      if (isAlike && Math.abs(sinceS(day)) < SPEAKS_S) day.lossHouseShare = share.value;
    }
  }
}
