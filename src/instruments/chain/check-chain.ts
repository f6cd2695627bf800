import { currentBudgets, pressureBudgets } from './budget-sources.ts';
import { busHighTooLow, pullUpsTooHigh, pullUpsTooStrong, pullUpsTooWeak } from './bus-checks.ts';
import { AT_TRANSDUCER, AT_TRANSFORMER, type Check } from './check.ts';
import {
  aboveRange,
  belowGround,
  beyondSupply,
  clipsInrush,
  negativeHalfWave,
  rangeUsed,
  wastesRange,
} from './input-checks.ts';
import { signalsAreTold } from './lacks.ts';
import { linksOf } from './links.ts';
import { answersOf } from './questions.ts';
import { type Resolved, resolve } from './resolve.ts';
import { aliasing, intervals, wholeCycles } from './sampling-checks.ts';
import {
  burdenIsThere,
  burdenSaturates,
  commonGround,
  supplySag,
  transducerRange,
  transformerSize,
} from './sensor-checks.ts';
import { stepV } from './signal.ts';
import { Assumptions } from './told.ts';
import type { Chain, ChainContext, ChainReport, ChannelReport } from './types.ts';

const CHECKS: readonly Check[] = [
  signalsAreTold,
  beyondSupply,
  belowGround,
  pullUpsTooHigh,
  burdenIsThere,
  transducerRange,
  aboveRange,
  negativeHalfWave,
  burdenSaturates,
  commonGround,
  supplySag,
  wholeCycles,
  aliasing,
  busHighTooLow,
  pullUpsTooStrong,
  pullUpsTooWeak,
  transformerSize,
  clipsInrush,
  wastesRange,
  intervals,
];

/**
 * Judges a measuring chain before it is wired: what it would destroy, what would read wrong, how
 * good each channel would be and which questions it leaves open. What is not told is not judged,
 * and said; values taken in its place are listed.
 */
export function checkChain(chain: Chain, context: ChainContext): ChainReport {
  const resolved = resolve(chain, context);
  const assumed = new Assumptions();
  const verdicts = CHECKS.map((check) => check(resolved));
  const { pressure, current, converter } = resolved;
  for (const says of context.assumed ?? []) assumed.say(says);
  if (chain.current?.biasV === null) assumed.say('transformer: no bias');
  if (chain.bus?.pinsBearV === null && chain.bus.logicV !== null) {
    assumed.say('controller: pins bear 0.3 V above its logic level');
  }
  const channels = [
    ...(pressure ? [pressureReport(resolved, assumed)] : []),
    ...(current ? [currentReport(resolved, assumed)] : []),
  ];
  if (converter !== null && converter.beyondV === null) assumed.of(null, 'beyondV');
  return {
    channels,
    findings: verdicts.flatMap((verdict) => verdict.findings),
    questions: answersOf(chain.sampling),
    notJudged: [...new Set(verdicts.flatMap((verdict) => verdict.notJudged))],
    assumed: assumed.taken,
    cautions: [
      ...new Set([...(pressure ? AT_TRANSDUCER : []), ...(current ? AT_TRANSFORMER : [])]),
    ],
  };
}

function pressureReport(resolved: Resolved, assumed: Assumptions): ChannelReport {
  const { pressure: line } = resolved;
  const voltPer = line?.signal?.voltPerPa ?? null;
  const noise = assumed.of(line?.transducer.noisePa, 'pressureNoisePa').value;
  const budgets = pressureBudgets(resolved, assumed);
  return { ...reportOf(resolved, 'pressure', voltPer), noise, budgets };
}

function currentReport(resolved: Resolved, assumed: Assumptions): ChannelReport {
  const { current } = resolved;
  const voltPer = current?.signal?.voltPerA ?? null;
  const noise = assumed.of(current?.transformer.noiseA, 'currentNoiseA').value;
  const budgets = currentBudgets(resolved, assumed);
  return { ...reportOf(resolved, 'current', voltPer), noise, budgets };
}

function reportOf(resolved: Resolved, channel: 'pressure' | 'current', voltPer: number | null) {
  const { converter } = resolved;
  const line = resolved[channel];
  const rangeV = line?.rangeV ?? null;
  const step = converter === null || rangeV === null ? Number.NaN : stepV(converter, rangeV);
  const countsPerUnit = voltPer === null || Number.isNaN(step) ? null : voltPer / step;
  return {
    channel,
    links: linksOf(resolved, channel),
    countsPerUnit,
    resolution: countsPerUnit === null ? null : 1 / countsPerUnit,
    rangeUsed: rangeUsed(resolved)[channel],
    gain: line?.gain ?? null,
  };
}
