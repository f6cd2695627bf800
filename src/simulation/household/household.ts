import { DAY_S, GALLON_M3, GPM_M3_PER_S } from '../constants.ts';
import { createRandom, type Random } from '../random.ts';
import type { Draw } from './draw.ts';
import { drawsOfTrace, type Trace } from './trace.ts';

export interface Irrigation {
  /** First and last day of the year. */
  fromDayOfYear: number;
  toDayOfYear: number;
  /** 0 Sunday to 6 Saturday. */
  weekdays: number[];
  startHour: number;
  zones: { gpm: number; minutes: number }[];
}

export interface Household {
  people: number;
  /** This house against the mean house of its people. */
  thrift: number;
  softener: { everyDays: number; gpm: number; minutes: number } | null;
  irrigation: Irrigation | null;
  animals: { head: number; gallonsEach: number } | null;
  hoseInSummer: boolean;
  /** Days, counted from the start, on which guests are in or nobody is. */
  guests: { fromDay: number; toDay: number; people: number }[];
  absences: { fromDay: number; toDay: number }[];
  /** Real draws to be replayed, from a local midnight, instead of what people would do. */
  trace: Trace | null;
}

/** Weight of each hour of the day, sum about 100 (common practice). */
const HOURS = [
  1, 0.6, 0.5, 0.5, 0.8, 2.5, 6.5, 8.5, 7.5, 6, 5, 4.5, 4.5, 4, 3.5, 3.5, 4.2, 5.5, 6.5, 6.5, 6,
  5.5, 4, 2.4,
];
const WEEKEND_HOURS = HOURS.map((_, h) => 0.35 * HOURS[h]! + 0.65 * HOURS[(h + 22) % 24]!);

function moment(random: Random, hours: number[]): number {
  const total = hours.reduce((s, w) => s + w, 0);
  let left = random.uniform() * total;
  for (let h = 0; h < 24; h++) {
    left -= hours[h]!;
    if (left <= 0) return (h + random.uniform()) * 3600;
  }
  return DAY_S - 60;
}

/** Number of happenings with this mean. Knuth's product method. */
function poisson(random: Random, mean: number): number {
  const limit = Math.exp(-mean);
  let n = 0;
  let product = random.uniform();
  while (product > limit) {
    n++;
    product *= random.uniform();
  }
  return n;
}

interface Day {
  random: Random;
  hours: number[];
  draws: Draw[];
  atS: number;
}

function byVolume(day: Day, what: string, at: number, gpm: number, gallons: number): void {
  day.draws.push({
    startS: day.atS + at,
    flowM3PerS: gpm * GPM_M3_PER_S,
    endsBy: 'volume',
    amount: gallons * GALLON_M3,
    what,
  });
}

function byTime(day: Day, what: string, at: number, gpm: number, seconds: number): void {
  day.draws.push({
    startS: day.atS + at,
    flowM3PerS: gpm * GPM_M3_PER_S,
    endsBy: 'time',
    amount: seconds,
    what,
  });
}

function toilet(day: Day): void {
  const { random } = day;
  const at = moment(random, day.hours);
  const gpm = random.between(2.2, 3.8);
  const gallons = random.between(1.35, 1.85);
  byVolume(day, 'toilet', at, gpm, 0.82 * gallons);
  // The float closes the valve bit by bit.
  byVolume(day, 'toilet', at + (0.82 * gallons * 60) / gpm, 0.45 * gpm, 0.18 * gallons);
}

function washer(day: Day): void {
  const { random } = day;
  const start = moment(random, day.hours);
  const fills = 4 + Math.floor(2 * random.uniform());
  for (let i = 0; i < fills; i++) {
    const at = start + i * random.between(480, 720);
    byVolume(day, 'washer', at, random.between(2, 4), random.between(3, 5));
  }
}

function dishwasher(day: Day): void {
  const { random } = day;
  const start = moment(random, day.hours);
  for (let i = 0; i < 4; i++) {
    const at = start + i * random.between(700, 1100);
    byVolume(day, 'dishwasher', at, random.between(1, 2), random.between(1, 1.5));
  }
}

function persons(day: Day, people: number): void {
  const { random } = day;
  const times = (mean: number, act: () => void) => {
    for (let n = poisson(random, mean); n > 0; n--) act();
  };
  times(5 * people, () => toilet(day));
  times(11 * people, () =>
    byTime(
      day,
      'washbasin',
      moment(random, day.hours),
      random.between(0.5, 1.5),
      random.between(5, 40),
    ),
  );
  times(0.7 * people, () => {
    const minutes = Math.max(2, 7.7 + 3 * random.normal());
    byTime(day, 'shower', moment(random, day.hours), random.between(1.6, 2.4), 60 * minutes);
  });
  times(0.1 * people, () =>
    byVolume(day, 'bath', moment(random, day.hours), random.between(3, 5), random.between(25, 36)),
  );
  times(0.3 * people, () => washer(day));
}

function houseUses(day: Day): void {
  const { random } = day;
  for (let n = poisson(random, 9); n > 0; n--) {
    const seconds = Math.min(150, 8 + random.exponential(30));
    byTime(day, 'kitchen', moment(random, day.hours), random.between(1, 2.2), seconds);
  }
  for (let n = poisson(random, 0.75); n > 0; n--) dishwasher(day);
  for (let n = poisson(random, 10); n > 0; n--) {
    byTime(
      day,
      'ice maker',
      DAY_S * random.uniform(),
      random.between(0.25, 0.5),
      random.between(6, 18),
    );
  }
}

function outdoors(day: Day, household: Household, dayOfYear: number, weekday: number): void {
  const { random } = day;
  const summer = dayOfYear > 135 && dayOfYear < 265;
  if (household.hoseInSummer && summer && random.chance(0.3)) {
    byTime(
      day,
      'hose',
      random.between(8, 19) * 3600,
      random.between(3, 5.5),
      random.between(5, 40) * 60,
    );
  }
  const plan = household.irrigation;
  if (plan === null || dayOfYear < plan.fromDayOfYear || dayOfYear > plan.toDayOfYear) return;
  if (!plan.weekdays.includes(weekday)) return;
  let at = plan.startHour * 3600;
  for (const zone of plan.zones) {
    byTime(day, 'irrigation', at, zone.gpm, zone.minutes * 60);
    at += zone.minutes * 60 + 5;
  }
}

function machines(day: Day, household: Household, dayIndex: number): void {
  const { random } = day;
  const softener = household.softener;
  if (softener !== null && dayIndex % softener.everyDays === softener.everyDays - 1) {
    const stages = [0.25, 0.45, 0.3];
    let at = 2 * 3600;
    stages.forEach((share, i) => {
      byTime(day, 'softener', at, softener.gpm * [1, 0.3, 1][i]!, softener.minutes * 60 * share);
      at += softener.minutes * 60 * share + 2;
    });
  }
  const animals = household.animals;
  if (animals !== null) {
    for (let n = poisson(random, animals.head * 8); n > 0; n--) {
      const at = random.between(4, 22) * 3600;
      byVolume(
        day,
        'animals',
        at,
        random.between(1, 3),
        (animals.gallonsEach / 8) * random.between(0.5, 1.5),
      );
    }
  }
}

/** Day of the year, 1 to 366, of a day counted from 1970-01-01. */
function dayOfYear(epochDay: number): number {
  const date = new Date(epochDay * DAY_S * 1000);
  return epochDay - Date.UTC(date.getUTCFullYear(), 0, 1) / (DAY_S * 1000) + 1;
}

/** A day to be lived: which, counted from the start, and where its midnight lies. */
export interface DayAt {
  seed: number;
  dayIndex: number;
  midnightS: number;
  /** Local time less UTC, s. */
  offsetS: number;
}

/**
 * What a household draws in one day, in order of time. Frequencies, flows and volumes: common
 * practice and Residential End Uses of Water 2016 (toilet 5, shower 0.7 times a person and day).
 */
export function drawsOfDay(household: Household, at: DayAt): Draw[] {
  const random = createRandom(at.seed, 'household', at.dayIndex);
  const epochDay = Math.round((at.midnightS + at.offsetS) / DAY_S);
  const weekday = (epochDay + 4) % 7;
  const weekend = weekday === 0 || weekday === 6;
  const day: Day = {
    random,
    hours: weekend ? WEEKEND_HOURS : HOURS,
    draws: [],
    atS: at.midnightS,
  };
  const within = (p: { fromDay: number; toDay: number }) =>
    at.dayIndex >= p.fromDay && at.dayIndex <= p.toDay;
  const guests = household.guests.filter(within).reduce((sum, g) => sum + g.people, 0);
  const mood = Math.exp(0.25 * random.normal()) * (weekend ? 1.15 : 1);
  if (!household.absences.some(within)) {
    if (household.trace !== null) day.draws.push(...drawsOfTrace(household.trace, at));
    else {
      persons(day, (household.people * household.thrift + guests) * mood);
      houseUses(day);
    }
  }
  outdoors(day, household, dayOfYear(epochDay), weekday);
  machines(day, household, at.dayIndex);
  return day.draws.sort((p, q) => p.startS - q.startS);
}
