import { chooseGain } from './gain.ts';
import {
  type CurrentSignal,
  currentSignal,
  type PressureSignal,
  peakV,
  pressureSignal,
  rangesOf,
} from './signal.ts';
import type {
  Chain,
  ChainContext,
  Converter,
  GainChoice,
  Transducer,
  Transformer,
} from './types.ts';

interface Ranged {
  gain: GainChoice | null;
  /** Gain range in use or, where not told, the one to choose, V. */
  rangeV: number | null;
}

export interface ResolvedPressure extends Ranged {
  transducer: Transducer;
  signal: PressureSignal | null;
}

/** Extremes of the wave at one current. */
interface Wave {
  currentA: number;
  /** Seen by the converter: against ground, or between its two inputs. */
  highV: number;
  lowV: number;
  /** At the input pins against ground. */
  pinHighV: number;
  pinLowV: number;
}

export interface ResolvedCurrent extends Ranged {
  transformer: Transformer;
  signal: CurrentSignal | null;
  run: Wave | null;
  inrush: Wave | null;
}

/** The chain with what follows from it, before anything is judged. */
export interface Resolved {
  chain: Chain;
  context: ChainContext;
  converter: Converter | null;
  pressure: ResolvedPressure | null;
  current: ResolvedCurrent | null;
}

export function resolve(chain: Chain, context: ChainContext): Resolved {
  const { converter } = chain;
  const ranges = converter === null ? [] : rangesOf(converter);
  return {
    chain,
    context,
    converter,
    pressure: chain.pressure && resolvePressure(chain.pressure, ranges),
    current: chain.current && resolveCurrent(chain.current, ranges, context),
  };
}

/** Without a signal there is nothing to choose by, but the range in use may be told. */
const unchosen = (ranges: readonly number[], gainV: number | null): Ranged => ({
  gain: null,
  rangeV: gainV ?? (ranges.length === 1 ? ranges[0]! : null),
});

const ranged = (gain: GainChoice | null): Ranged => ({
  gain,
  rangeV: gain === null ? null : (gain.inUseV ?? gain.chosenV),
});

function resolvePressure(transducer: Transducer, ranges: readonly number[]): ResolvedPressure {
  const signal = pressureSignal(transducer);
  if (signal === null) return { transducer, signal, ...unchosen(ranges, transducer.gainV) };
  const top = signal.atFullV;
  const reach = { needsV: top, wantsV: top, needs: 'full pressure', wants: 'full pressure' };
  return { transducer, signal, ...ranged(chooseGain(ranges, reach, transducer.gainV)) };
}

function resolveCurrent(
  transformer: Transformer,
  ranges: readonly number[],
  { runA, inrushA }: ChainContext,
): ResolvedCurrent {
  const signal = currentSignal(transformer);
  const waveAt = (currentA: number | null): Wave | null =>
    signal === null || currentA === null ? null : waveOf(signal, transformer, currentA);
  const run = waveAt(runA);
  const inrush = waveAt(inrushA);
  const none = { transformer, signal, run, inrush };
  if (run === null) return { ...none, ...unchosen(ranges, transformer.gainV) };
  const reach = {
    needsV: run.highV,
    wantsV: (inrush ?? run).highV,
    needs: 'the running current',
    wants: inrush === null ? 'the running current' : 'the start',
  };
  return { ...none, ...ranged(chooseGain(ranges, reach, transformer.gainV)) };
}

function waveOf(signal: CurrentSignal, { differential }: Transformer, currentA: number): Wave {
  const peak = peakV(signal, currentA);
  const middle = differential ? 0 : signal.biasV;
  return {
    currentA,
    highV: middle + peak,
    lowV: middle - peak,
    pinHighV: signal.biasV + peak,
    pinLowV: signal.biasV - peak,
  };
}
