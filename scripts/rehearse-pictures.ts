/**
 * Draws the same morning of the same well with each fault, small multiples in one SVG:
 *   rehearse-pictures.ts [--system B] [--seed 2] --out faults.svg
 * Pressure above (0 to 80 psi), amps below (0 to three times service-factor amps); the upright
 * line is where the fault begins. At nine the lawn is watered for forty minutes.
 */
import { writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { buildSystem } from '../src/simulation/build-system.ts';
import { DAY_S, PSI_PA } from '../src/simulation/constants.ts';
import {
  FAULT_MODELS,
  type FaultSpec,
  type RehearsedFault,
} from '../src/simulation/faults/faults.ts';
import { rehearse } from '../src/simulation/rehearse.ts';
import { NO_TROUBLES } from '../src/simulation/sensing/delivery.ts';
import { usualReporting } from '../src/simulation/sensing/reporting.ts';

const { values } = parseArgs({
  options: {
    system: { type: 'string', default: 'B' },
    seed: { type: 'string', default: '2' },
    out: { type: 'string', default: 'rehearsal-faults.svg' },
  },
});
const seed = Number(values.seed);
const WIDTH = 250;
const HEIGHT = 120;
const COLUMNS = 6;
const START_S = Date.UTC(2026, 3, 6) / 1000;
const FROM_S = START_S + DAY_S + 6.5 * 3600;
const HOURS = 4;
const MOST_A = 3 * buildSystem(values.system, seed).design.serviceFactorA;
const ONSET_DAY = 1 + 7.5 / 24;

interface Point {
  x: number;
  psi: number;
  amps: number;
}

function morning(faults: FaultSpec[]): Point[] {
  const system = buildSystem(values.system, seed);
  // A full house, so that every panel shows what the fault does in use.
  system.household.people = 9;
  system.household.irrigation = {
    fromDayOfYear: 1,
    toDayOfYear: 366,
    weekdays: [0, 1, 2, 3, 4, 5, 6],
    startHour: 9,
    zones: [{ gpm: 0.8 * system.card.classGpm, minutes: 40 }],
  };
  const points: Point[] = [];
  rehearse({
    system,
    timeZone: 'UTC',
    startS: START_S,
    days: 2,
    seed,
    faults,
    reporting: usualReporting('fast-while-running', 5),
    troubles: NO_TROUBLES,
    sensing: {},
    bucketDays: [],
  }).run((row) => {
    const x = ((row.timeS - FROM_S) / (HOURS * 3600)) * (WIDTH - 10);
    if (x < 0 || x > WIDTH - 10) return;
    points.push({ x, psi: row.pressurePaGauge! / PSI_PA, amps: row.currentA! });
  });
  return points;
}

/** Lowest and highest of each half pixel, so that nothing short is lost. */
function path(points: Point[], y: (p: Point) => number): string {
  const columns = new Map<number, [number, number]>();
  for (const p of points) {
    const at = Math.round(p.x * 2) / 2;
    const v = y(p);
    const known = columns.get(at);
    columns.set(at, known === undefined ? [v, v] : [Math.min(known[0], v), Math.max(known[1], v)]);
  }
  const pieces = [...columns].map(([x, [low, high]]) =>
    low === high ? `${x} ${low.toFixed(1)}` : `${x} ${low.toFixed(1)} ${x} ${high.toFixed(1)}`,
  );
  return `M${pieces.join('L')}`;
}

function panel(title: string, points: Point[], place: number): string {
  const left = (place % COLUMNS) * WIDTH + 5;
  const top = Math.floor(place / COLUMNS) * HEIGHT + 5;
  const psi = path(points, (p) => 72 - Math.min(Math.max(p.psi, 0), 80) * 0.7);
  const amps = path(points, (p) => 108 - (Math.min(p.amps, MOST_A) * 32) / MOST_A);
  const onset = (((ONSET_DAY - 1) * 24 - 6.5) / HOURS) * (WIDTH - 10);
  return `<g transform="translate(${left} ${top})">
<rect width="${WIDTH - 10}" height="${HEIGHT - 10}" fill="#fff" stroke="#bbb"/>
<path d="M${onset} 14V110" stroke="#c60" stroke-dasharray="2 2"/>
<path d="${psi}" fill="none" stroke="#036"/><path d="${amps}" fill="none" stroke="#722"/>
<text x="4" y="11" font-size="10" font-family="sans-serif">${title}</text></g>`;
}

const names = Object.keys(FAULT_MODELS) as RehearsedFault[];
const panels = ['no fault', ...names].map((name, place) => {
  const fault = name as RehearsedFault;
  const faults = name === 'no fault' ? [] : [{ name: fault, onsetDay: ONSET_DAY, growthDays: 0 }];
  return panel(name, morning(faults), place);
});
const height = Math.ceil(panels.length / COLUMNS) * HEIGHT + 10;
writeFileSync(
  values.out,
  `<svg xmlns="http://www.w3.org/2000/svg" width="${COLUMNS * WIDTH}" height="${height}">
<rect width="100%" height="100%" fill="#f7f7f4"/>
${panels.join('\n')}
</svg>
`,
);
console.log(`${values.out}: ${panels.length} panels`);
