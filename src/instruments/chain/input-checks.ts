import { AT_TRANSFORMER, type Check, FINE, found, notJudged, type Verdict } from './check.ts';
import type { Resolved } from './resolve.ts';
import type { Converter } from './types.ts';
import { amps, percent, pressure, volts } from './words.ts';

/** With less than a quarter of the range in use two bits and more are lost: common practice. */
const LEAST_RANGE_USED = 0.25;

/** How far inputs bear more than their supply where the keeper tells nothing: common practice. */
const USUAL_BEYOND_V = 0.3;

const beyondOf = (converter: Converter): number => converter.beyondV ?? USUAL_BEYOND_V;

/** Lowest voltage that still gives a code of its own. */
function floorV(converter: Converter, rangeV: number, isDifferential: boolean): number {
  if (!converter.signed) return 0;
  return isDifferential ? -rangeV : -Math.min(rangeV, beyondOf(converter));
}

/** Full pressure and the running wave within the gain range. */
export const aboveRange: Check = ({ pressure: line, current, context }) => {
  const verdicts: Verdict[] = [];
  if (line?.signal && line.rangeV !== null && line.signal.atFullV > line.rangeV) {
    const top = line.signal.atFullV;
    const reads = (line.rangeV - line.signal.atZeroV) / line.signal.voltPerPa;
    const says =
      `full pressure gives ${volts(top)}, the range ends at ${volts(line.rangeV)}: ` +
      `nothing above ${pressure(reads, context.units)} can be read`;
    const rest = { channel: 'pressure', does: 'misleads', says, cautions: [] } as const;
    verdicts.push(
      found({ id: 'above-range', number: top, limit: line.rangeV, unit: 'V', ...rest }),
    );
  }
  if (current?.run && current.rangeV !== null && current.run.highV > current.rangeV) {
    const { highV, currentA } = current.run;
    const says =
      `at ${amps(currentA)} the wave reaches ${volts(highV)}, the range ends at ` +
      `${volts(current.rangeV)}: the running current reads too low`;
    const rest = { channel: 'current', does: 'misleads', says, cautions: [] } as const;
    verdicts.push(
      found({ id: 'above-range', number: highV, limit: current.rangeV, unit: 'V', ...rest }),
    );
  }
  return merged(verdicts);
};

/** Nothing that reaches a pin stands above the supply by more than the pin bears. */
export const beyondSupply: Check = ({ converter, pressure: line, current }) => {
  const supplyV = converter?.supplyV ?? null;
  if (converter === null || supplyV === null) {
    return notJudged('voltage above the supply', 'converter.supply');
  }
  const limit = supplyV + beyondOf(converter);
  const tops = [
    { channel: 'pressure', topV: line?.signal?.atFullV, when: 'full pressure' },
    { channel: 'current', topV: (current?.inrush ?? current?.run)?.pinHighV, when: 'a start' },
  ] as const;
  return merged(
    tops.map(({ channel, topV, when }) => {
      if (topV === undefined || topV <= limit) return FINE;
      const says =
        `${when} brings ${volts(topV)} to an input that bears ${volts(limit)} ` +
        `(supply ${volts(supplyV)}): it can destroy the converter. Divide the signal, or ` +
        'give the converter the supply of the sensor';
      const cautions = channel === 'current' ? AT_TRANSFORMER : [];
      const rest = { channel, does: 'destroys', says, cautions } as const;
      return found({ id: 'beyond-supply', number: topV, limit, unit: 'V', ...rest });
    }),
  );
};

/** The wave of a start does not pull a pin below ground by more than it bears. */
export const belowGround: Check = ({ converter, current }) => {
  const wave = current?.inrush ?? current?.run ?? null;
  if (converter === null || wave === null) return FINE;
  const limit = -beyondOf(converter);
  if (wave.pinLowV >= limit) return FINE;
  const says =
    `at ${amps(wave.currentA)} the wave pulls the input to ${volts(wave.pinLowV)}, it bears ` +
    `${volts(limit)}: it can destroy the converter. Lift the wave with a bias, or use a ` +
    'smaller burden';
  const rest = { channel: 'current', does: 'destroys', says, cautions: AT_TRANSFORMER } as const;
  return found({ id: 'below-ground', number: wave.pinLowV, limit, unit: 'V', ...rest });
};

/** The lower half of the running wave has codes of its own. */
export const negativeHalfWave: Check = ({ converter, current }) => {
  if (converter === null || current === null) return FINE;
  const { run, rangeV, transformer } = current;
  if (run === null || rangeV === null) return FINE;
  const limit = floorV(converter, rangeV, transformer.differential);
  if (run.lowV >= limit) return FINE;
  const says =
    `at ${amps(run.currentA)} the wave goes down to ${volts(run.lowV)}, the converter reads no ` +
    `lower than ${volts(limit)}: the negative half wave is lost. Bias the transformer to the ` +
    'middle of the range';
  const rest = { channel: 'current', does: 'misleads', says, cautions: AT_TRANSFORMER } as const;
  return found({ id: 'negative-half-wave', number: run.lowV, limit, unit: 'V', ...rest });
};

/** The wave of a start fits; told only where the running wave does. */
export const clipsInrush: Check = ({ converter, current }) => {
  if (converter === null || !current?.run || !current.inrush) return FINE;
  const { run, inrush, rangeV, transformer } = current;
  if (rangeV === null) return FINE;
  const floor = floorV(converter, rangeV, transformer.differential);
  if (run.highV > rangeV || run.lowV < floor) return FINE;
  const isTop = inrush.highV > rangeV;
  if (!isTop && inrush.lowV >= floor) return FINE;
  const number = isTop ? inrush.highV : inrush.lowV;
  const limit = isTop ? rangeV : floor;
  const says =
    `a start of ${amps(inrush.currentA)} takes the wave to ${volts(number)}, it is cut at ` +
    `${volts(limit)}: the start current reads too low, the start circuit cannot be judged by it`;
  const rest = { channel: 'current', does: 'limits', says, cautions: [] } as const;
  return found({ id: 'clips-inrush', number, limit, unit: 'V', ...rest });
};

/** Share of the range that the signal uses: at full pressure, and running and at the start. */
export function rangeUsed({ converter, pressure: line, current }: Resolved) {
  const pressure = line?.signal && line.rangeV ? line.signal.atFullV / line.rangeV : null;
  const none = { pressure, current: null, start: null };
  if (converter === null || !current?.run || current.rangeV === null) return none;
  const { run, inrush, rangeV, transformer } = current;
  const spanV = rangeV * (transformer.differential && converter.signed ? 2 : 1);
  const most = inrush ?? run;
  return {
    pressure,
    current: (run.highV - run.lowV) / spanV,
    start: (most.highV - most.lowV) / spanV,
  };
}

/** No finer gain range would do, and what has to fit uses a fair share of the range. */
export const wastesRange: Check = (resolved) => {
  const used = rangeUsed(resolved);
  const judge = (channel: 'pressure' | 'current', share: number | null, at: string): Verdict => {
    const gain = resolved[channel]?.gain;
    if (!gain || share === null) return FINE;
    const rest = { id: 'wastes-range', channel, does: 'limits', cautions: [] } as const;
    if (gain.inUseV !== null && gain.inUseV > gain.chosenV) {
      const choose = `choose ${volts(gain.chosenV)}: ${gain.why}`;
      const says = `range ${volts(gain.inUseV)} is in use; ${choose}`;
      return found({ ...rest, says, number: gain.inUseV, limit: gain.chosenV, unit: 'V' });
    }
    if (share >= LEAST_RANGE_USED) return FINE;
    const says =
      `${at} uses ${percent(share)} of the range, less than ${percent(LEAST_RANGE_USED)}: a ` +
      'finer range or a sensor of smaller range reads better';
    return found({ ...rest, says, number: share, limit: LEAST_RANGE_USED, unit: 'share' });
  };
  return merged([
    judge('pressure', used.pressure, 'full pressure'),
    judge('current', used.start, 'even a start'),
  ]);
};

const merged = (verdicts: Verdict[]): Verdict => ({
  findings: verdicts.flatMap((verdict) => verdict.findings),
  notJudged: verdicts.flatMap((verdict) => verdict.notJudged),
});
