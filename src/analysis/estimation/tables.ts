/**
 * What is kept of every run and every draw for as long as the log lasts, packed in columns: 64
 * bytes a run and 24 a draw, so that ten years of a busy well stay small.
 */
export const BEGUN = ['cut-in', 'other', 'log-start', 'gap'] as const;
export const ENDED = [
  'cut-out',
  'below-cut-out',
  'tripped',
  'stalled',
  'chatter',
  'gap',
  'log-end',
] as const;

export interface RunRow {
  startS: number;
  stopS: number;
  startStdS: number;
  stopStdS: number;
  cutInPaGauge: number;
  cutOutPaGauge: number;
  meanA: number;
  /** Pumped volume and its own standard error, reference units of the epoch. */
  pumped: number;
  pumpedStd: number;
  /** Integrals that give the volume again from a delivery learnt later; NaN where they may not. */
  integral0: number;
  integral1: number;
  /** The volume is booked by day already: a weak run. */
  byDay: boolean;
  begun: (typeof BEGUN)[number];
  ended: (typeof ENDED)[number];
  foundBy: 'current' | 'pressure';
  breaks: number;
  epoch: number;
}

export interface DrawRow {
  startS: number;
  durationS: number;
  volume: number;
  std: number;
  peakPerMin: number;
}

/** Rows of a fixed width of doubles and of singles, growing by half when full. */
export interface Table {
  rows: number;
  doubles: Float64Array;
  singles: Float32Array;
  doubleWidth: number;
  singleWidth: number;
}

const RUN_SINGLES = 12;
const DRAW_SINGLES = 4;

function createTable(doubleWidth: number, singleWidth: number): Table {
  return {
    rows: 0,
    doubles: new Float64Array(16 * doubleWidth),
    singles: new Float32Array(16 * singleWidth),
    doubleWidth,
    singleWidth,
  };
}

export const createRunTable = (): Table => createTable(2, RUN_SINGLES);
export const createDrawTable = (): Table => createTable(1, DRAW_SINGLES);

function push(table: Table, doubles: number[], singles: number[]): void {
  if ((table.rows + 1) * table.doubleWidth > table.doubles.length) {
    const rows = Math.ceil(table.rows * 1.5) + 1;
    const grownDoubles = new Float64Array(rows * table.doubleWidth);
    grownDoubles.set(table.doubles);
    const grownSingles = new Float32Array(rows * table.singleWidth);
    grownSingles.set(table.singles);
    table.doubles = grownDoubles;
    table.singles = grownSingles;
  }
  table.doubles.set(doubles, table.rows * table.doubleWidth);
  table.singles.set(singles, table.rows * table.singleWidth);
  table.rows += 1;
}

export function addRun(table: Table, run: RunRow): void {
  const code =
    (run.byDay ? 64 : 0) +
    BEGUN.indexOf(run.begun) * 16 +
    ENDED.indexOf(run.ended) * 2 +
    (run.foundBy === 'current' ? 0 : 1);
  push(
    table,
    [run.startS, run.stopS],
    [
      run.startStdS,
      run.stopStdS,
      run.cutInPaGauge,
      run.cutOutPaGauge,
      run.meanA,
      run.pumped,
      run.pumpedStd,
      run.integral0,
      run.integral1,
      code,
      run.breaks,
      run.epoch,
    ],
  );
}

export function runAt(table: Table, row: number): RunRow {
  const d = row * table.doubleWidth;
  const s = row * table.singleWidth;
  const single = (k: number): number => table.singles[s + k]!;
  const code = single(9);
  return {
    startS: table.doubles[d]!,
    stopS: table.doubles[d + 1]!,
    startStdS: single(0),
    stopStdS: single(1),
    cutInPaGauge: single(2),
    cutOutPaGauge: single(3),
    meanA: single(4),
    pumped: single(5),
    pumpedStd: single(6),
    integral0: single(7),
    integral1: single(8),
    byDay: code >= 64,
    begun: BEGUN[Math.floor(code / 16) % 4]!,
    ended: ENDED[Math.floor(code / 2) % 8]!,
    foundBy: code % 2 === 0 ? 'current' : 'pressure',
    breaks: single(10),
    epoch: single(11),
  };
}

export function addDraw(table: Table, draw: DrawRow): void {
  push(table, [draw.startS], [draw.durationS, draw.volume, draw.std, draw.peakPerMin]);
}

export function drawAt(table: Table, row: number): DrawRow {
  const s = row * table.singleWidth;
  return {
    startS: table.doubles[row]!,
    durationS: table.singles[s]!,
    volume: table.singles[s + 1]!,
    std: table.singles[s + 2]!,
    peakPerMin: table.singles[s + 3]!,
  };
}
