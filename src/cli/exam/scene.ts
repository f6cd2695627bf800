import type { Way } from '../../exam/case-record.ts';
import type { WatchedFault } from '../../exam/first-symptom.ts';
import { KNOWABLE } from '../../model/knowable.ts';
import type { Channel } from '../../model/reading.ts';
import { buildSystem, type System } from '../../simulation/build-system.ts';
import { FAULT_MODELS, type RehearsedFault } from '../../simulation/faults/faults.ts';
import type { Trace } from '../../simulation/household/trace.ts';
import { createRandom, type Random } from '../../simulation/random.ts';
import type { Scenario } from '../../simulation/scenario.ts';
import { NO_TROUBLES, USUAL_TROUBLES } from '../../simulation/sensing/delivery.ts';
import { type Reporting, usualReporting } from '../../simulation/sensing/reporting.ts';
import { type ExamCase, idOf } from './case-id.ts';

/** A case made ready to be run. */
export interface Scene {
  scenario: Scenario;
  way: Way & { channels: Channel[] };
  watched: WatchedFault[];
}

const DAY_S = 86_400;
const NEW_YEAR_S = Date.UTC(2026, 0, 1) / 1000;
const ZONE = 'UTC';

/** How devices report, and how often each is met here. */
const POLICIES: [Reporting['policy'], restS: number, weight: number][] = [
  ['fast-while-running', 1, 1],
  ['fast-while-running', 5, 2],
  ['fast-while-running', 15, 1],
  ['fixed', 5, 1],
  ['on-change', 15, 1],
];
const TWO: Channel[] = ['pressure', 'current'];
const START: Channel[] = [...TWO, 'current-peak', 'start-time'];
const ALL: Channel[] = [...START, 'mains', 'air-temperature'];
const MESSY_SHARE = 1 / 3;
const BUCKET_SHARE = 0.85;
/** The rest of a log after which the keeper has made the bucket test. */
const BUCKET_DAY = 2;
const REAL_SHARE = 0.5;

/** Everything about a case that its name does not say is drawn from its name. */
export function sceneOf(one: ExamCase, trace: Trace | null): Scene {
  const random = createRandom(one.seed, 'exam', idOf(one));
  const reporting = reportingFor(random);
  const messy = random.chance(MESSY_SHARE);
  const bucketTest = random.chance(BUCKET_SHARE);
  const channels = channelsFor(one.faults, random);
  const startS = NEW_YEAR_S + DAY_S * startDay(one, random);
  const onsetDay = onsetDayOf(one, random);
  const watched = one.faults.map((name) => watchedFault(one, name, startS, onsetDay));
  const system = systemFor(one, random);
  const realDemand = trace !== null && random.chance(REAL_SHARE);
  if (realDemand) system.household.trace = trace;
  return {
    scenario: {
      system,
      timeZone: ZONE,
      startS,
      days: one.days,
      seed: one.seed,
      faults: watched.map(({ name, growthS, severity }) => ({
        name,
        onsetDay,
        growthDays: growthS / DAY_S,
        severity,
      })),
      reporting,
      troubles: messy ? USUAL_TROUBLES : NO_TROUBLES,
      sensing: {},
      bucketDays: bucketTest ? [BUCKET_DAY] : [],
    },
    way: {
      policy: reporting.policy,
      runIntervalS: reporting.runS,
      restIntervalS: reporting.policy === 'on-change' ? reporting.runS : reporting.restS,
      messy,
      channels,
      bucketTest,
      realDemand,
      sickFromStart: one.sickFromStart,
    },
    watched,
  };
}

function reportingFor(random: Random): Reporting {
  const each = POLICIES.flatMap(([policy, restS, weight]) =>
    Array.from({ length: weight }, () => usualReporting(policy, restS)),
  );
  return each[Math.floor(each.length * random.uniform())]!;
}

/** Half the wells have two signals only; a fault that needs more has it in two of three. */
function channelsFor(faults: readonly RehearsedFault[], random: Random): Channel[] {
  const needsMore = faults.some((fault) => {
    const { first, pair } = KNOWABLE[fault];
    const needs = [...first, ...pair.map((p) => p.need)];
    return !needs.some(({ channels }) => channels.every((c) => TWO.includes(c)));
  });
  const pick = random.uniform();
  if (pick < (needsMore ? 1 / 3 : 1 / 2)) return TWO;
  return !needsMore && pick < 3 / 4 ? START : ALL;
}

/** A day of the year; what freezes does so in January. */
function startDay(one: ExamCase, random: Random): number {
  const day = Math.floor(365 * random.uniform());
  if (one.faults.includes('frozen')) return day % 20;
  return one.faults.length === 0 ? day % 30 : day;
}

/** Eight to twelve days of learning where the log is long enough for it. */
function onsetDayOf({ days, sickFromStart }: ExamCase, random: Random): number {
  const spread = Math.min(4, Math.max(0.5, days - 16));
  const drawn = 8 + spread * random.uniform();
  return sickFromStart ? 0 : drawn;
}

/** A fault grows as it usually does, or is grown four days before the end, or half way there. */
function watchedFault(
  { days, severity, sickFromStart }: ExamCase,
  name: RehearsedFault,
  startS: number,
  onsetDay: number,
): WatchedFault {
  const left = days - onsetDay;
  const room = Math.max(left - 4, left / 2);
  const growthDays = sickFromStart ? 0 : Math.min(FAULT_MODELS[name].growthDays, room);
  return { name, severity, onsetS: startS + onsetDay * DAY_S, growthS: growthDays * DAY_S };
}

const FREEZING_K = 274;
const SHORT_DAYS = 18;

/** The system with the life of its house: guests, holidays, a softener, a lawn. */
function systemFor(one: ExamCase, random: Random): System {
  const system = buildSystem(one.system, one.seed);
  const { household, card } = system;
  const stay = (from: number, length: number) => ({
    fromDay: Math.floor(from),
    toDay: Math.floor(from + length),
  });
  const sound = one.faults.length === 0;
  const years = one.days / 365;
  // In a short log of a sick well an empty house would hide the fault.
  const awayShare = sound ? 0.7 : one.days < SHORT_DAYS ? 0 : 0.15;
  const somewhere = () => random.between(2, Math.max(3, one.days - 3));
  for (let n = 0; n < Math.max(1, Math.round(5 * years)); n++) {
    if (random.chance(sound ? 0.9 : 0.25))
      household.guests.push({
        ...stay(somewhere(), random.between(1, 5)),
        people: 1 + Math.floor(4 * random.uniform()),
      });
    if (random.chance(awayShare))
      household.absences.push(stay(somewhere(), random.between(1, one.days > 100 ? 14 : 3)));
  }
  if (household.irrigation === null && sound && random.chance(0.4))
    household.irrigation = {
      fromDayOfYear: 140,
      toDayOfYear: 260,
      weekdays: [2, 5],
      startHour: 5,
      zones: [0.6, 0.75, 0.7].map((share) => ({ gpm: share * card.classGpm, minutes: 15 })),
    };
  if (one.faults.includes('frozen')) system.design.roomMeanK = FREEZING_K;
  return system;
}
