import { converterFor } from '../../units/parse.ts';
import { bare, numberOf, refused, rowsOf } from './cells.ts';

/** Samples of one raw column, or all that is wrong with the file. */
type SamplesRead =
  | { ok: true; values: number[]; raw: 'V' | 'count' }
  | { ok: false; problems: string[] };

/** Minutes of the fastest converter, and still nothing to a computer. */
const MOST_SAMPLES = 1_000_000;

/** A file of another kind is wrong in every row: the first tell enough. */
const MOST_TOLD = 20;

const HEADING = /^current-raw \[([^\]]*)\]$/;

/** Reads a burst: a heading `current-raw [V]` or `current-raw [count]`, a sample in each row. */
export function readSamples(text: string, file: string): SamplesRead {
  const [heading, ...rest] = rowsOf(text);
  const expected = 'expected one column current-raw [V] or current-raw [count]';
  const found = heading === undefined ? 'nothing' : `"${heading.row}"`;
  const [, unit = ''] = HEADING.exec(bare(heading?.row ?? '')) ?? [];
  const converter = converterFor(unit);
  if (converter === null || !['voltage', 'count'].includes(converter.kind)) {
    return refused(`${file}:${heading?.line ?? 1}: ${expected}, found ${found}`);
  }
  if (rest.length === 0 || rest.length > MOST_SAMPLES) {
    return refused(`${file}: expected 1 to ${MOST_SAMPLES} samples, found ${rest.length}`);
  }
  const values = rest.map(({ row }) => numberOf(bare(row), true) * converter.scale);
  const problems = rest.flatMap(({ row, line }, i) =>
    Number.isFinite(values[i]) ? [] : [`${file}:${line}: expected a number, found "${row}"`],
  );
  const raw = converter.kind === 'count' ? 'count' : 'V';
  if (problems.length === 0) return { ok: true, values, raw };
  const untold = problems.length - MOST_TOLD;
  const more = untold > 0 ? [`${file}: and ${untold} more`] : [];
  return { ok: false, problems: [...problems.slice(0, MOST_TOLD), ...more] };
}
