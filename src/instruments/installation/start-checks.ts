import type { InstallationResult } from '../../model/installation.ts';
import { mostFrequentStartsPerS } from '../../physics/tank/most-frequent-starts.ts';
import { GALLON_M3 } from '../../units/table.ts';
import { HORSEPOWER_W } from './constants.ts';
import { assumed, atLeast, atMost, fromResult, type Given, unneeded, worked } from './result.ts';
import type { Site } from './site.ts';

const HOUR_S = 3600;
const DAY_S = 86_400;
const TANK_STANDARD = 'copy of a performance standard for water-well pressure tanks';

/** Up to this rated power the gentler rules on starts and run time hold. */
const SMALL_W = 0.755 * HORSEPOWER_W;

/** What a start depends on: water between the switch points, and the flow that fills it. */
interface Filled {
  drawdown: InstallationResult;
  flow: InstallationResult;
}

/** How often and how long the motor runs, against what it bears. */
export function startChecks(site: Site, filled: Filled): InstallationResult[] {
  return [
    runTime(site, filled),
    startsPerHour(site, filled),
    startsByMotorTable(site, filled),
    restByMotorTable(site, filled),
    startsPerDay(site, filled.drawdown),
  ];
}

/** The limit that goes with the power of the motor. */
function byPower(site: Site, small: number, large: number) {
  const power = site.get('powerW');
  if ('needs' in power) return power;
  return power.value <= SMALL_W
    ? { value: small, motors: 'to 3/4 hp' }
    : { value: large, motors: 'above 3/4 hp' };
}

/** The power stands among the inputs of a check whose limit follows from it. */
const ruledByPower = (site: Site): { P: Given } => ({ P: site.get('powerW') });

function runTime(site: Site, { drawdown, flow }: Filled): InstallationResult {
  const rule = byPower(site, 60, 120);
  const minutes = 'needs' in rule ? '' : `at least ${rule.value / 60} min, motors ${rule.motors}`;
  return worked({
    id: 'run-time',
    title: 'Run time with no tap open',
    formula: 't = V / Q',
    source: 'Drawdown over delivery at the middle of the band.',
    kind: 'minutes',
    inputs: { V: fromResult(drawdown), Q: fromResult(flow), ...ruledByPower(site) },
    value: ({ V, Q }) => V / Q,
    limit: 'needs' in rule ? null : atLeast(rule.value, minutes, 'trade press, dealers (2 min)'),
    says: { good: 'The motor runs long enough to cool after its start.', bad: SMALL_TANK },
    acts: ['replace-tank', 'adjust-tank-air'],
  });
}

const SMALL_TANK =
  'The tank gives too little for this pump: every start wears motor and switch. First see to the ' +
  'air charge; if that is right a larger tank is needed.';

function startsPerHour(site: Site, { drawdown, flow }: Filled): InstallationResult {
  const rule = byPower(site, 15, 7.5);
  return worked({
    id: 'starts-per-hour',
    title: 'Starts an hour at most',
    formula: 'N = 60 * Q / (4 * V)',
    source: 'A demand of half the delivery starts the pump most often.',
    kind: 'per-hour',
    inputs: { Q: fromResult(flow), V: fromResult(drawdown), ...ruledByPower(site) },
    value: ({ Q, V }) => mostFrequentStartsPerS({ flowM3PerS: Q, drawdownM3: V }),
    limit:
      'needs' in rule
        ? null
        : atMost(
            rule.value / HOUR_S,
            `at most ${rule.value}, motors ${rule.motors}`,
            TANK_STANDARD,
          ),
    says: { good: 'Whatever the demand, the motor gets its rest.', bad: SMALL_TANK },
    acts: ['replace-tank', 'adjust-tank-air'],
  });
}

/** NEMA MG 10 Table 2-3, two-pole motors of design A and B: hp, starts an hour, rest s. */
const MOTOR_TABLE = [
  { hp: 1, startsPerHour: 15, restS: 75 },
  { hp: 1.5, startsPerHour: 12.9, restS: 76 },
  { hp: 2, startsPerHour: 11.5, restS: 77 },
  { hp: 3, startsPerHour: 9.9, restS: 80 },
  { hp: 5, startsPerHour: 8.1, restS: 83 },
  { hp: 7.5, startsPerHour: 7, restS: 88 },
  { hp: 10, startsPerHour: 6.2, restS: 92 },
];
const MOTOR_SOURCE = 'NEMA MG 10 Table 2-3, two-pole three-phase motors of design A and B';

/** The row of the next larger motor; null beyond the table. */
function motorRow(site: Site) {
  const power = site.equipment.powerW;
  if (power === null) return null;
  const hp = power.value / HORSEPOWER_W;
  if (hp < 0.995) return null;
  return MOTOR_TABLE.find((row) => hp <= row.hp * 1.005) ?? null;
}

const OUTSIDE_TABLE = 'The table holds motors of 1 to 10 hp.';

function startsByMotorTable(site: Site, { drawdown, flow }: Filled): InstallationResult {
  const row = motorRow(site);
  const check = {
    id: 'starts-per-hour-motor',
    title: 'The same by motor table',
    formula: 'N = 60 * Q / (4 * V)',
    source: 'A demand of half the delivery starts the pump most often.',
    kind: 'per-hour',
    inputs: { Q: fromResult(flow), V: fromResult(drawdown), ...ruledByPower(site) },
    value: ({ Q, V }: { Q: number; V: number }) =>
      mostFrequentStartsPerS({ flowM3PerS: Q, drawdownM3: V }),
    limit: row
      ? atMost(
          row.startsPerHour / HOUR_S,
          `at most ${row.startsPerHour}, ${row.hp} hp`,
          MOTOR_SOURCE,
        )
      : null,
    says: {
      good: 'Within what heats a motor of this size, load of little inertia.',
      bad: SMALL_TANK,
    },
    acts: ['replace-tank', 'adjust-tank-air'],
  } as const;
  const isOutside = row === null && site.equipment.powerW !== null;
  return isOutside ? unneeded(check, OUTSIDE_TABLE) : worked(check);
}

function restByMotorTable(site: Site, { drawdown, flow }: Filled): InstallationResult {
  const row = motorRow(site);
  const check = {
    id: 'motor-rest',
    title: 'Rest between starts, at worst',
    formula: 'r = 2 * V / Q',
    source: 'At a demand of half the delivery.',
    kind: 'minutes',
    inputs: { V: fromResult(drawdown), Q: fromResult(flow), ...ruledByPower(site) },
    value: ({ V, Q }: { V: number; Q: number }) => (2 * V) / Q,
    limit: row ? atLeast(row.restS, `at least ${row.restS} s, ${row.hp} hp`, MOTOR_SOURCE) : null,
    says: { good: 'Time enough to give off the heat of a start.', bad: SMALL_TANK },
    acts: ['replace-tank', 'adjust-tank-air'],
  } as const;
  const isOutside = row === null && site.equipment.powerW !== null;
  return isOutside ? unneeded(check, OUTSIDE_TABLE) : worked(check);
}

/** Starts a day that a motor bears, and who says so: the sources differ, so it is named. */
function dailyRule(site: Site): { value: number; rule: string; source: string } | null {
  const power = site.equipment.powerW;
  if (power === null) return null;
  if (power.value <= SMALL_W) {
    return { value: 300, rule: 'at most 300, motors to 3/4 hp', source: "a motor maker's table" };
  }
  if (site.isThreePhase) return { value: 300, rule: 'at most 300', source: TANK_STANDARD };
  const rule = 'at most 100, single-phase above 3/4 hp (from memory others allow 300 at 1 hp)';
  return { value: 100, rule, source: "a motor maker's table" };
}

function startsPerDay(site: Site, drawdown: InstallationResult): InstallationResult {
  const daily = dailyRule(site);
  const { people } = site.well;
  const persons: Given =
    people === null
      ? { needs: ['house.people'] }
      : {
          what: 'people in the house',
          value: people,
          std: 0,
          kind: 'number',
          origin: { from: 'file', key: 'house.people', source: 'measured' },
        };
  return worked({
    id: 'starts-per-day',
    title: 'Starts a day at most',
    formula: 'N = n * w / V',
    source: 'Use over drawdown; draws while the pump runs make it fewer.',
    kind: 'per-day',
    inputs: {
      n: persons,
      w: assumed('use of a person a day', 75 * GALLON_M3, {
        std: 15 * GALLON_M3,
        kind: 'volume',
        because: '50 to 100 gal, Penn State Extension, water system planning',
      }),
      V: fromResult(drawdown),
      ...ruledByPower(site),
    },
    value: ({ n, w, V }) => (n * w) / V / DAY_S,
    limit: daily ? atMost(daily.value / DAY_S, daily.rule, daily.source) : null,
    says: { good: 'Irrigation, animals and leaks come on top.', bad: SMALL_TANK },
    acts: ['replace-tank', 'adjust-tank-air'],
  });
}
