import { buildSystem } from '../../src/simulation/build-system.ts';
import { rehearse } from '../../src/simulation/rehearse.ts';
import { NO_TROUBLES } from '../../src/simulation/sensing/delivery.ts';
import { usualReporting } from '../../src/simulation/sensing/reporting.ts';

const PSI_PA = 6894.757293168361;
const START_S = Date.parse('2026-04-06T00:00:00Z') / 1000;

/** What a device sent, pressure and current of one instant a row. */
export interface Rows {
  startS: number;
  timeS: Float64Array;
  pressurePa: Float64Array;
  currentA: Float64Array;
}

export function rehearsedRows({ days, restS }: { days: number; restS: number }): Rows {
  const seed = 3;
  const rehearsal = rehearse({
    ...{ system: buildSystem('A', seed), seed, startS: START_S, timeZone: 'UTC', days },
    ...{ troubles: NO_TROUBLES, sensing: {}, faults: [], bucketDays: [] },
    reporting: usualReporting('fast-while-running', restS),
  });
  const rows: [number, number, number][] = [];
  rehearsal.run(({ timeS, pressurePaGauge, currentA }) => {
    if (pressurePaGauge !== null && currentA !== null)
      rows.push([timeS, pressurePaGauge, currentA]);
  });
  const column = (at: number) => Float64Array.from(rows, (row) => row[at]!);
  const [timeS, pressurePa, currentA] = [column(0), column(1), column(2)];
  return { startS: START_S, timeS, pressurePa, currentA };
}

/** The same as a log would hold it: psi and A with two decimals. */
export function inTwoDecimals(rows: Rows): Rows {
  const cents = (value: number) => Math.round(value * 100) / 100;
  return {
    ...rows,
    pressurePa: rows.pressurePa.map((pa) => cents(pa / PSI_PA) * PSI_PA),
    currentA: rows.currentA.map(cents),
  };
}

/** The same as a converter of 12 bits sees it: 100 psi and 40 A are its whole range. */
export function inTwelveBits(rows: Rows): Rows {
  const steps = (most: number) => (value: number) =>
    Math.round((value / most) * 4096) * (most / 4096);
  return {
    ...rows,
    pressurePa: rows.pressurePa.map(steps(100 * PSI_PA)),
    currentA: rows.currentA.map(steps(40)),
  };
}
