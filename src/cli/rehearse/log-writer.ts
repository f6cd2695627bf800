import { createWriteStream } from 'node:fs';
import { finished } from 'node:stream/promises';
import { createGzip } from 'node:zlib';
import type { Row } from '../../simulation/sensing/row.ts';
import { PSI_PA } from '../../units/table.ts';
import type { ExtraChannel } from './scenario-file.ts';

const EXTRA: Record<ExtraChannel, { heading: string; cell: (row: Row) => string }> = {
  'current-peak': { heading: 'current-peak [A]', cell: (r) => printed(r.currentPeakA, 2) },
  'start-time': { heading: 'start-time [s]', cell: (r) => printed(r.startTimeS, 2) },
  mains: { heading: 'mains [V]', cell: (r) => printed(r.mainsV, 1) },
  'air-temperature': {
    heading: 'air-temperature [degC]',
    cell: (r) => printed(r.airK === null ? null : r.airK - 273.15, 2),
  },
};
const BLOCK = 1 << 16;

function printed(value: number | null, decimals: number): string {
  return value === null ? '' : value.toFixed(decimals);
}

/** Writes rows as a recorded log, gzipped CSV. */
export class LogWriter {
  readonly #gzip = createGzip({ level: 6 });
  readonly #done: Promise<void>;
  readonly #extra: ((row: Row) => string)[];
  #block: string;
  rows = 0;

  constructor(path: string, channels: readonly ExtraChannel[]) {
    const file = createWriteStream(path);
    this.#gzip.pipe(file);
    this.#done = finished(file);
    this.#extra = channels.map((channel) => EXTRA[channel].cell);
    const headings = channels.map((channel) => `,${EXTRA[channel].heading}`).join('');
    this.#block = `time,pressure [psi],current [A]${headings}\n`;
  }

  take(row: Row): void {
    this.rows++;
    const psi = row.pressurePaGauge === null ? null : row.pressurePaGauge / PSI_PA;
    let line = `${row.timeS.toFixed(1)},${printed(psi, 2)},${printed(row.currentA, 2)}`;
    for (const cell of this.#extra) line += `,${cell(row)}`;
    this.#block += `${line}\n`;
    if (this.#block.length < BLOCK) return;
    this.#gzip.write(this.#block);
    this.#block = '';
  }

  async close(): Promise<void> {
    this.#gzip.end(this.#block);
    await this.#done;
  }
}
