import { OTHER_TESTS } from '../model/well.ts';
import { tomlText } from './toml-text.ts';

/** Tables of the well file that are added to by doing something. */
export const BLOCK_TABLES = ['service', 'calibration', 'bucket_test', ...OTHER_TESTS] as const;
export type BlockTable = (typeof BLOCK_TABLES)[number];

/** A value as JSON has it; times are text, written as the well file has them. */
export type BlockValue =
  | string
  | number
  | boolean
  | null
  | BlockValue[]
  | { [key: string]: BlockValue };

export interface WellFileBlock {
  table: BlockTable;
  values: Record<string, BlockValue>;
}

/** Keys whose values are times, and stand without quotes. */
const TIMES = ['start', 'stop', 'on', 'from'];
/** One more than the parser takes: what lies deeper is refused whole, so it need not be written. */
const DEEPEST = 33;
const TIME = /^\d{4}-\d\d-\d\d(?:[Tt ]\d\d:\d\d(?::\d\d(?:\.\d+)?)?(?:[Zz]|[+-]\d\d:\d\d)?)?$/;

/**
 * The text with one more block at its end; all that stood there stays as it was. Whether the block
 * can be so is seen when the new text is read.
 */
export function withBlock(text: string, { table, values }: WellFileBlock): string {
  const lineEnd = text.includes('\r\n') ? '\r\n' : '\n';
  const isSection = (value: BlockValue) => isTable(value) && !Object.hasOwn(value, 'value');
  const entries = Object.entries(values);
  const lines = [`[[${table}]]`];
  for (const [key, value] of entries) if (!isSection(value)) lines.push(line([key], value));
  for (const [key, value] of entries) {
    if (!isSection(value)) continue;
    lines.push(`[${table}.${keyOf(key)}]`, ...dotted([], value as BlockTableValue));
  }
  const isEnded = text === '' || text.endsWith('\n');
  const before = text === '' ? '' : isEnded ? lineEnd : lineEnd + lineEnd;
  return `${text}${before}${lines.join(lineEnd)}${lineEnd}`;
}

type BlockTableValue = { [key: string]: BlockValue };

/** `{ tank: { volume: … } }` as `tank.volume = …`. */
function dotted(path: string[], values: BlockTableValue): string[] {
  if (path.length > DEEPEST) return [];
  return Object.entries(values).flatMap(([key, value]) => {
    const at = [...path, key];
    const goesOn = isTable(value) && !Object.hasOwn(value, 'value');
    return goesOn ? dotted(at, value) : [line(at, value)];
  });
}

const isTable = (value: BlockValue): value is BlockTableValue =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

const line = (path: string[], value: BlockValue): string =>
  `${path.map(keyOf).join('.')} = ${written(path.at(-1) ?? '', value)}`;

/** A value as the text has it. */
export const writtenValue = (value: BlockValue): string => written('', value);

const keyOf = (key: string): string => (/^[A-Za-z0-9_-]+$/.test(key) ? key : tomlText(key));

function written(key: string, value: BlockValue, depth = 0): string {
  if (typeof value === 'string')
    return TIMES.includes(key) && TIME.test(value) ? value : tomlText(value);
  if (depth > DEEPEST) return '[]';
  if (Array.isArray(value))
    return `[${value.map((one) => written('', one, depth + 1)).join(', ')}]`;
  if (!isTable(value)) return String(value);
  const parts = Object.entries(value).map(
    ([name, one]) => `${keyOf(name)} = ${written(name, one, depth + 1)}`,
  );
  return `{ ${parts.join(', ')} }`;
}
