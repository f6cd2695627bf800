import { FAULT_NAMES } from '../../model/faults.ts';
import { SYSTEMS } from '../../simulation/catalogue.ts';
import { FAULT_MODELS, type RehearsedFault } from '../../simulation/faults/faults.ts';
import type { ExamCase } from './case-id.ts';

export interface PlanOptions {
  short: boolean;
  systems: string[];
  faults: RehearsedFault[];
  seedFrom: number;
  /** Days of each sick well; null: as long as its fault needs. */
  days: number | null;
  healthyYears: number;
}

const ALL = FAULT_NAMES.filter((name) => name !== 'unknown-trouble') as RehearsedFault[];
const SEVERITIES = [0.3, 0.6, 1];
/** These are there or not: one severity is enough. */
const WITHOUT_DEGREE: readonly RehearsedFault[] = [
  'pump-uncoupled',
  'rotor-locked',
  'switch-welded',
  'switch-no-start',
  'pressure-wire-open',
  'pressure-wire-short',
  'current-clamp-off',
];
/** These leave the house without water: nobody lives on like that for a week. */
const NO_WATER: readonly RehearsedFault[] = [
  'switch-no-start',
  'rotor-locked',
  'pump-uncoupled',
  'drop-pipe-parted',
  'running-dry',
];
const NO_WATER_DAYS = 12;
/** Faults that meet in one well often enough, or hide one another. */
const TOGETHER: [RehearsedFault, RehearsedFault][] = [
  ['leak-house', 'tank-waterlogged'],
  ['check-valve-leak', 'pump-worn'],
  ['tank-waterlogged', 'start-circuit-weak'],
  ['current-clamp-gap', 'running-dry'],
  ['pressure-drift', 'leak-house'],
  ['static-level-falling', 'fixture-running'],
  ['run-capacitor-weak', 'switch-chatter'],
  ['filter-plugged', 'precharge-low'],
];
/** In a short exam these are met once more, sick from the first reading. */
const SHORT_FROM_START: readonly RehearsedFault[] = [
  'tank-waterlogged',
  'precharge-low',
  'leak-house',
  'check-valve-leak',
  'pump-worn',
  'running-dry',
  'switch-chatter',
  'current-clamp-gap',
  'pressure-wire-open',
];
const FAST_DAYS = 20;
const START_DAYS = 12;
const START_NO_WATER_DAYS = 6;
const SHORT_DAYS = 11;
const SHORT_NO_WATER_DAYS = 10;
/** Learning of up to twelve days before, and as long after the fault is fully grown. */
const BEFORE_DAYS = 12;
const AFTER_DAYS = 8;
/** One case in this many is sick from the start. */
const SICK_FROM_START = 6;
const YEAR_DAYS = 365;

/** Faults that this system cannot have. */
function cannotHave(fault: RehearsedFault, letter: string): boolean {
  const motor = SYSTEMS.find((s) => s.letter === letter)?.motor;
  return fault === 'run-capacitor-weak' && motor !== 'capacitor-run';
}

function usualDays(fault: RehearsedFault): number {
  const { growthDays } = FAULT_MODELS[fault];
  if (NO_WATER.includes(fault)) return NO_WATER_DAYS;
  return Math.max(FAST_DAYS, Math.ceil(BEFORE_DAYS + growthDays + AFTER_DAYS));
}

const startDays = (fault: RehearsedFault) =>
  NO_WATER.includes(fault) ? START_NO_WATER_DAYS : START_DAYS;

/** All cases of an exam, in the order in which they are run. */
export function planOf(options: PlanOptions): ExamCase[] {
  return [
    ...(options.short ? [...shortSick(options), ...shortFromStart(options)] : fullSick(options)),
    ...(options.short ? [] : together(options)),
    ...healthy(options),
  ];
}

/**
 * Every fault on every system, the three severities in turn, so that each fault meets each of them
 * on four systems; a fault without degree on every second system. Each case has a plant of its
 * own, and its seed follows from its place in the whole table: a part of the plan is a part of it.
 */
function fullSick({ systems, faults, seedFrom, days }: PlanOptions): ExamCase[] {
  const cases: ExamCase[] = [];
  ALL.forEach((fault, f) => {
    SYSTEMS.forEach(({ letter }, s) => {
      const hasDegree = !WITHOUT_DEGREE.includes(fault);
      if (!faults.includes(fault) || !systems.includes(letter)) return;
      if (cannotHave(fault, letter) || (!hasDegree && (f + s) % 2 === 1)) return;
      const turn = f + s + Math.floor(s / SEVERITIES.length);
      const sickFromStart = (5 * f + s) % SICK_FROM_START === 0;
      cases.push({
        faults: [fault],
        system: letter,
        severity: hasDegree ? SEVERITIES[turn % SEVERITIES.length]! : 1,
        seed: seedFrom + f * SYSTEMS.length + s,
        days: days ?? (sickFromStart ? startDays(fault) : usualDays(fault)),
        sickFromStart,
      });
    });
  });
  return cases;
}

/** Each fault once, fully grown, the systems in turn. */
function shortSick({ systems, faults, seedFrom, days }: PlanOptions): ExamCase[] {
  return faults.flatMap((fault) => {
    const place = ALL.indexOf(fault);
    const able = systems.filter((letter) => !cannotHave(fault, letter));
    if (able.length === 0) return [];
    return {
      faults: [fault],
      system: able[place % able.length]!,
      severity: 1,
      seed: seedFrom + 800 + place,
      days: days ?? (NO_WATER.includes(fault) ? SHORT_NO_WATER_DAYS : SHORT_DAYS),
      sickFromStart: false,
    };
  });
}

/** A few faults on systems further on, with nothing sound before them. */
function shortFromStart({ systems, faults, seedFrom, days }: PlanOptions): ExamCase[] {
  return SHORT_FROM_START.flatMap((fault, place) => {
    if (!faults.includes(fault)) return [];
    return {
      faults: [fault],
      system: systems[(5 * place + 1) % systems.length]!,
      severity: 1,
      seed: seedFrom + 880 + place,
      days: days ?? startDays(fault),
      sickFromStart: true,
    };
  });
}

/** Pairs of faults, each on three systems. */
function together({ systems, faults, seedFrom, days }: PlanOptions): ExamCase[] {
  return TOGETHER.flatMap(([one, other], p) =>
    SYSTEMS.filter((_, s) => (s + p) % 4 === 0).flatMap(({ letter }, k) => {
      const asked = faults.includes(one) && faults.includes(other) && systems.includes(letter);
      if (!asked || cannotHave(one, letter) || cannotHave(other, letter)) return [];
      return {
        faults: [one, other],
        system: letter,
        severity: 1,
        seed: seedFrom + 700 + 10 * p + k,
        days: days ?? Math.max(usualDays(one), usualDays(other)),
        sickFromStart: false,
      };
    }),
  );
}

const SHORT_HEALTHY_DAYS = 21;

/** Sound wells: whole years, the systems in turn; three weeks each in a short exam. */
function healthy({ short, systems, seedFrom, healthyYears }: PlanOptions): ExamCase[] {
  const days = short ? SHORT_HEALTHY_DAYS : YEAR_DAYS;
  const wells = Math.round((healthyYears * YEAR_DAYS) / days);
  return Array.from({ length: wells }, (_, k) => ({
    faults: [],
    system: systems[k % systems.length]!,
    severity: 0,
    seed: seedFrom + 900 + (k % 100),
    days,
    sickFromStart: false,
  }));
}

export const everyFault = (): RehearsedFault[] => [...ALL];
