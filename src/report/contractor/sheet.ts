/** A chart as it is meant: lines, bands and dots over one pair of scales, in units as shown. */
export interface Chart {
  title: string;
  x: { least: number; greatest: number; unit: string; marks?: { at: number; text: string }[] };
  y: { unit: string; fromZero: boolean };
  bands: { x: number; low: number; high: number }[];
  /** Null breaks a line. */
  lines: { style: 'now' | 'past'; points: ({ x: number; y: number } | null)[] }[];
  dots: { x: number; y: number }[];
  uprights: number[];
}

export type Block =
  | { kind: 'text'; says: string }
  /** Words of the keeper, as typed; null leaves room to write. */
  | { kind: 'quoted'; says: string | null }
  | { kind: 'item'; title: string; says: string[] }
  | { kind: 'list'; items: string[] }
  | { kind: 'cautions'; items: string[] }
  | { kind: 'table'; heads: string[]; rows: string[][] }
  | { kind: 'charts'; charts: Chart[]; note: string };

export interface Part {
  title: string;
  blocks: Block[];
}

/** A page for somebody who was not there: what is on it, whatever it is drawn with. */
export interface Sheet {
  paper: 'letter' | 'a4';
  title: string;
  under: string[];
  /** To be read, in two minutes at most. */
  parts: Part[];
  /** To be looked up: figures, words in full, data. */
  lookUp: Part[];
  lookUpTitle: string;
  /** There is so much that it takes smaller letters to hold it on two pages. */
  isDense: boolean;
  foot: string;
}

/** All words of some parts, those on a chart's scales left out. */
export const textsOf = (parts: readonly Part[]): string[] =>
  parts.flatMap(({ title, blocks }) => [title, ...blocks.flatMap(textOf)]);

function textOf(block: Block): string[] {
  switch (block.kind) {
    case 'text':
    case 'quoted':
      return [block.says ?? ''];
    case 'item':
      return [block.title, ...block.says];
    case 'list':
    case 'cautions':
      return block.items;
    case 'table':
      return [...block.heads, ...block.rows.flat()];
    case 'charts':
      return [...block.charts.map(({ title }) => title), block.note];
  }
}
