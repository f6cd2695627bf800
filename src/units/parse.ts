import { conductorAreaOfGaugeM2 } from './awg.ts';
import { EXAMPLE, KIND_IN_WORDS, type QuantityKind } from './kinds.ts';
import { leadingNumber } from './number.ts';
import { type Converter, converterFor, currencyOf, unitsOf } from './table.ts';

export type { QuantityKind } from './kinds.ts';
export { converterFor } from './table.ts';

export type QuantityErrorCode =
  | 'missing-unit'
  | 'unknown-unit'
  | 'wrong-kind'
  | 'not-a-number'
  | 'not-positive';

export type ParsedQuantity =
  | { ok: true; value: number; unit: string }
  | { ok: false; code: QuantityErrorCode; expected: string; found: string };

/**
 * Kinds that cannot be below zero. A length can: the water of a flowing well stands above ground.
 */
const NEVER_NEGATIVE: ReadonlySet<QuantityKind> = new Set<QuantityKind>([
  'absolute-pressure',
  'volume',
  'power',
  'area-of-conductor',
  'temperature',
  'resistance',
  'frequency',
  'mass',
]);

/**
 * Reads a quantity as a keeper writes it, such as `38 psi` or `1 1/2 hp`, into SI.
 * The unit must be there and of the kind wanted. `head` takes the units of length. A price of
 * energy comes per J, with its currency as `unit`.
 */
export function parseQuantity(text: string, kind: QuantityKind): ParsedQuantity {
  const clean = text
    .replaceAll(/[\u00a0\u202f]/g, ' ')
    .replaceAll('\u2212', '-')
    .trim();
  if (kind === 'area-of-conductor' && /awg$/i.test(clean)) return parseGauge(clean);
  const number = leadingNumber(clean);
  if (number === null) return failed('not-a-number', kind, clean === '' ? 'nothing' : clean);
  if (number.rest === '') return failed('missing-unit', kind, clean);
  const converter = converterFor(number.rest);
  if (converter === null) return failed(unknownOrGauge(number.rest), kind, number.rest);
  const fit = convertAs(converter, kind);
  if (fit === null) {
    return failed('wrong-kind', kind, `${number.rest} (${KIND_IN_WORDS[converter.kind]})`);
  }
  const value = number.value * fit.scale + fit.offset;
  if (value < 0 && NEVER_NEGATIVE.has(kind)) return failed('not-positive', kind, clean);
  return { ok: true, value, unit: currencyOf(number.rest) ?? number.rest };
}

const unknownOrGauge = (unit: string) => (/^awg$/i.test(unit) ? 'wrong-kind' : 'unknown-unit');

/** The converter to use where `kind` is wanted, or null where its unit is of another kind. */
function convertAs(converter: Converter, kind: QuantityKind): Converter | null {
  if (converter.kind === kind) return converter;
  if (kind === 'head' && converter.kind === 'length') return converter;
  if (kind === 'temperature-difference' && converter.kind === 'temperature') {
    return { kind, scale: converter.scale, offset: 0 };
  }
  return null;
}

function parseGauge(text: string): ParsedQuantity {
  const [, digits = '', aught] = /^(\d{1,2})(\/0)? ?awg$/i.exec(text) ?? [];
  if (digits === '') return failed('not-a-number', 'area-of-conductor', text);
  const gauge = aught === undefined ? Number(digits) : 1 - Number(digits);
  const value = conductorAreaOfGaugeM2(gauge);
  if (Number.isNaN(value)) return failed('not-a-number', 'area-of-conductor', text);
  return { ok: true, value, unit: 'AWG' };
}

function failed(code: QuantityErrorCode, kind: QuantityKind, found: string): ParsedQuantity {
  const units = unitsOf(kind === 'head' ? 'length' : kind);
  const list = units.length > 0 ? `, in ${units.join(', ')}` : '';
  const gauge = kind === 'area-of-conductor' ? ' or AWG' : '';
  const expected = `${KIND_IN_WORDS[kind]} such as "${EXAMPLE[kind]}"${list}${gauge}`;
  return { ok: false, code, expected, found };
}
