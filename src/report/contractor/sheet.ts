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
  parts: Part[];
  foot: string;
}
