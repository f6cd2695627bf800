import type { Chain, Converter, Divider, Transducer, Transformer } from './types.ts';

/** Voltage that a transducer brings to the converter: straight in the pressure. */
export interface PressureSignal {
  atZeroV: number;
  atFullV: number;
  voltPerPa: number;
}

export const dividerShare = (divider: Divider | null): number =>
  divider === null ? 1 : divider.groundOhm / (divider.seriesOhm + divider.groundOhm);

/**
 * Signal of a transducer behind its divider: out = divider (zero + (full - zero) p/range).
 * Null where range or output is not told. With 0.5 to 4.5 V at 5 V this is the usual
 * out = supply (0.1 + 0.8 p/range) (common practice).
 */
export function pressureSignal(transducer: Transducer): PressureSignal | null {
  const { rangePaGauge, outputV, divider } = transducer;
  if (rangePaGauge === null || outputV === null) return null;
  const share = dividerShare(divider);
  const atZeroV = share * outputV.zero;
  const atFullV = share * outputV.full;
  return { atZeroV, atFullV, voltPerPa: (atFullV - atZeroV) / rangePaGauge };
}

/** Wave that a transformer brings to the converter. */
export interface CurrentSignal {
  /** V rms at the input for each A rms in the conductor. */
  voltPerA: number;
  biasV: number;
}

/** Null where range or output is not told, or a current output has no burden. */
export function currentSignal(transformer: Transformer): CurrentSignal | null {
  const { rangeA, output, burdenOhm, divider, biasV } = transformer;
  if (rangeA === null || output === null) return null;
  const ratedV = output.unit === 'V' ? output.rms : output.rms * (burdenOhm ?? Number.NaN);
  if (Number.isNaN(ratedV)) return null;
  return { voltPerA: (dividerShare(divider) * ratedV) / rangeA, biasV: biasV ?? 0 };
}

/** Height of the wave above its middle at a current, V. */
export const peakV = (signal: CurrentSignal, currentA: number): number =>
  Math.SQRT2 * signal.voltPerA * currentA;

/** Gain ranges of the converter; one that measures against its supply has that as its only one. */
export function rangesOf(converter: Converter): number[] {
  if (converter.rangesV.length > 0) return converter.rangesV;
  return converter.reference === 'supply' && converter.supplyV !== null ? [converter.supplyV] : [];
}

/**
 * One step of the converter [V]: range/2^bits, or range/2^(bits-1) where codes run from minus to
 * plus the range. Source: IEEE 1241, ideal converter (from memory).
 */
export const stepV = (converter: Converter, rangeV: number): number =>
  converter.bits === null
    ? Number.NaN
    : rangeV / 2 ** (converter.signed ? converter.bits - 1 : converter.bits);

/**
 * Whether sag of the supply reads as signal: a transducer that follows its supply read against
 * a fixed voltage, or the other way round. Null where not told.
 */
export function sagReads({ pressure, converter }: Chain): boolean | null {
  const follows = pressure?.ratiometric ?? null;
  const reference = converter?.reference ?? null;
  return follows === null || reference === null ? null : follows !== (reference === 'supply');
}
