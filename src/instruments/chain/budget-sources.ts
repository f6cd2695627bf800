import { ratioErrorLimit } from './accuracy-class.ts';
import { type BudgetSource, budgetOf, ofLimits, ofSwing } from './budget.ts';
import type { Resolved, ResolvedCurrent, ResolvedPressure } from './resolve.ts';
import { worstRmsError } from './rms-window.ts';
import { dividerShare, sagReads, stepV } from './signal.ts';
import { type Assumptions, freedomOf, TOLD_FREEDOM, type Told } from './told.ts';
import type { BudgetAt, Converter, Divider } from './types.ts';

/** A start beyond what the class covers: ratio error within 5 % (a guess). */
const BEYOND_CLASS = { value: 0.05, isTold: false };

const COARSE_BITS = 12;

const limits = (
  source: string,
  told: Told,
  of: { unit: string; sensitivity: number },
): BudgetSource => ({
  source,
  kind: 'B',
  distribution: 'rectangular',
  std: ofLimits(told.value),
  degreesOfFreedom: freedomOf(told),
  ...of,
});

const share = (sensitivity: number) => ({ unit: 'share', sensitivity });

/** Half a step either way (GUM F.2.2.1: 0.29 of a step). */
const steps = (converter: Converter, rangeV: number, perV: number): BudgetSource =>
  limits(
    'resolution of the converter',
    { value: stepV(converter, rangeV) / 2, isTold: true },
    { unit: 'V', sensitivity: perV },
  );

const converterError = (converter: Converter, assumed: Assumptions): Told => {
  const isCoarse = (converter.bits ?? 0) <= COARSE_BITS;
  return assumed.of(converter.accuracyShare, isCoarse ? 'coarseConverter' : 'fineConverter');
};

/** Two resistors of a tolerance move the divided share by (1 - share) times their difference. */
function dividerSources(divider: Divider | null, value: number): BudgetSource[] {
  if (divider === null) return [];
  const told = { value: Math.SQRT2 * divider.toleranceShare, isTold: true };
  return [limits('divider', told, share((1 - dividerShare(divider)) * value))];
}

/** Budgets of the pressure at zero, cut-in and cut-out; none where the chain is not told. */
export function pressureBudgets(resolved: Resolved, assumed: Assumptions): BudgetAt[] {
  const { pressure: line, converter, context } = resolved;
  if (line === null || converter === null || converter.bits === null) return [];
  const values = [
    ['zero', 0],
    ['cut-in', context.cutInPaGauge],
    ['cut-out', context.cutOutPaGauge],
  ] as const;
  const parts = standingPressureSources(line, converter, assumed);
  return values.flatMap(([at, value]) => {
    if (value === null || parts === null || line.signal === null) return [];
    // The output above no voltage at all, as a pressure: what a share of the signal is worth.
    const wholePa = value + line.signal.atZeroV / line.signal.voltPerPa;
    const sources = [...parts, ...dividerSources(line.transducer.divider, wholePa)];
    if (sagReads(resolved.chain)) {
      const sag = assumed.of(line.transducer.sagShare, 'sag');
      sources.push(limits('sag of the supply', sag, share(wholePa)));
    }
    return [{ at, value, ...budgetOf(sources) }];
  });
}

/** Sources that are the same at every pressure. */
function standingPressureSources(
  { transducer, signal, rangeV }: ResolvedPressure,
  converter: Converter,
  assumed: Assumptions,
): BudgetSource[] | null {
  const fullPa = transducer.rangePaGauge;
  if (signal === null || rangeV === null || fullPa === null) return null;
  const swing = assumed.of(transducer.temperatureSwingK, 'temperatureSwingK');
  const perK = assumed.of(transducer.temperatureSharePerK, 'temperaturePerK');
  const warmth = { value: perK.value * swing.value, isTold: perK.isTold && swing.isTold };
  const noise = assumed.of(transducer.noisePa, 'pressureNoisePa');
  const perV = 1 / signal.voltPerPa;
  const accuracy = assumed.of(transducer.accuracyShare, 'accuracy');
  const drift = assumed.of(transducer.driftSharePerYear, 'driftPerYear');
  return [
    limits('transducer: total error', accuracy, share(fullPa)),
    limits('transducer: temperature', warmth, share(fullPa)),
    limits('transducer: drift in a year', drift, share(fullPa)),
    noiseSource(noise, 'Pa'),
    steps(converter, rangeV, perV),
    limits('converter: error', converterError(converter, assumed), share(rangeV * perV)),
  ];
}

const noiseSource = (noise: Told, unit: string): BudgetSource => ({
  source: 'noise of one reading',
  kind: 'A',
  distribution: 'normal',
  std: noise.value,
  unit,
  sensitivity: 1,
  degreesOfFreedom: freedomOf(noise),
});

/** Budgets of the current at zero, running and at the start. */
export function currentBudgets(resolved: Resolved, assumed: Assumptions): BudgetAt[] {
  const { current, converter, context } = resolved;
  if (current === null || converter === null || converter.bits === null) return [];
  const values = [
    ['zero', 0],
    ['run', context.runA],
    ['inrush', context.inrushA],
  ] as const;
  return values.flatMap(([at, value]) => {
    const sources = value === null ? null : currentSources(resolved, current, { value, assumed });
    return value === null || sources === null ? [] : [{ at, value, ...budgetOf(sources) }];
  });
}

function currentSources(
  { converter, chain }: Resolved,
  { transformer, signal, rangeV }: ResolvedCurrent,
  { value, assumed }: { value: number; assumed: Assumptions },
): BudgetSource[] | null {
  if (signal === null || rangeV === null || converter === null) return null;
  const floorA = assumed.of(transformer.noiseA, 'currentNoiseA');
  // A floor adds to the square of the reading, so it fades as the current grows.
  const floor = { ...floorA, value: Math.hypot(value, floorA.value) - value };
  const sources = [
    ratioSource(transformer, value, assumed),
    noiseSource(floor, 'A'),
    steps(converter, rangeV, 1 / signal.voltPerA),
    limits('converter: error', converterError(converter, assumed), share(value)),
    ...dividerSources(transformer.divider, value),
  ];
  if (transformer.output?.unit === 'A') {
    sources.push(limits('burden', assumed.of(null, 'burdenTolerance'), share(value)));
  }
  if (converter.reference === 'supply') {
    const sag = assumed.of(chain.pressure?.sagShare, 'sag');
    sources.push(limits('supply as the reference', sag, share(value)));
  }
  return [...sources, ...windowSources(chain.sampling, converter, value)];
}

function ratioSource(
  { accuracyClass, accuracyShare, rangeA }: ResolvedCurrent['transformer'],
  value: number,
  assumed: Assumptions,
): BudgetSource {
  const source = 'transformer: ratio';
  if (value === 0) return limits(source, { value: 0, isTold: true }, share(0));
  if (accuracyClass === null)
    return limits(source, assumed.of(accuracyShare, 'ratio'), share(value));
  const limit = ratioErrorLimit(accuracyClass, value / (rangeA ?? Number.NaN));
  const told = Number.isNaN(limit) ? BEYOND_CLASS : { value: limit, isTold: true };
  if (!told.isTold) assumed.say('transformer: ratio error within 5 % above 120 % of its range');
  return limits(source, told, share(value));
}

function windowSources(
  sampling: Resolved['chain']['sampling'],
  { rateHz }: Converter,
  value: number,
): BudgetSource[] {
  const { mainsHz = null, windowS = null } = sampling ?? {};
  if (mainsHz === null || windowS === null) return [];
  const worst = worstRmsError({ mainsHz, windowS, rateHz });
  if (Number.isNaN(worst)) return [];
  return [
    {
      source: 'window of the RMS value',
      kind: 'B',
      distribution: 'arcsine',
      std: ofSwing(worst),
      degreesOfFreedom: TOLD_FREEDOM,
      ...share(value),
    },
  ];
}
