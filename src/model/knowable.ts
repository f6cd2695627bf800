import { capital } from '../base/capital.ts';
import type { FaultName } from './faults.ts';
import type { Channel } from './reading.ts';
import type { TestName } from './study.ts';

/** `first`: can be named alone; `pair`: only as one of a group that looks the same. */
export type Level = 'first' | 'pair' | 'not-judgeable';

/** What is at hand to judge a fault by. */
export interface AtHand {
  channels: readonly Channel[];
  /** Longest usual interval between readings while the pump runs, and at rest. */
  runIntervalS: number;
  restIntervalS: number;
  /** Not only on change: what is silent between two reports is known then. */
  atSetTimes: boolean;
  /** Sound running to compare with. */
  baselineDays: number;
  /** What a person has done to find out, if anything. */
  test: TestName | null;
}

/** What it takes; what is left out does not matter. */
export interface Need {
  channels: readonly Channel[];
  runIntervalS?: number;
  restIntervalS?: number;
  atSetTimes?: true;
  baselineDays?: number;
  test?: TestName;
}

export interface KnowableRow {
  /** The fault as a sentence needs it. */
  what: string;
  /** From what size on it shows beyond what a sound well wanders; left out where any size does. */
  from?: string;
  /** Any one of these lets it be named first. */
  first: readonly Need[];
  /** Any one of these names it within the group; the smallest group stands first. */
  pair: readonly { need: Need; group: readonly FaultName[] }[];
}

export interface Knowable {
  level: Level;
  /** What it may honestly be taken for; empty unless the level is `pair`. */
  group: readonly FaultName[];
  /** What would lift it to the next level, in words; empty at `first` or where nothing does. */
  missing: readonly string[];
  /** For the keeper. */
  says: string;
}

const CHANNEL_OF: Record<string, Channel> = {
  P: 'pressure',
  I: 'current',
  K: 'current-peak',
  S: 'start-time',
  V: 'mains',
  T: 'air-temperature',
};

const need = (channels: string, more: Omit<Need, 'channels'> = {}): Need => ({
  channels: channels.split(' ').map((letter) => CHANNEL_OF[letter]!),
  ...more,
});
/** Days of sound running from which a baseline holds. */
const LEARNT = { baselineDays: 7 };
const FAST = { runIntervalS: 1 };
/** A value that repeats and one that trembles are the same to a device that reports on change. */
const AT_SET_TIMES = { atSetTimes: true } as const;
/** A ring and a broken contact last a fraction of a second. */
const FASTEST = { runIntervalS: 0.2, restIntervalS: 0.2 };
const like = (of: Need, ...group: FaultName[]) => ({ need: of, group });
const row = (what: string, first: Need[], ...pair: KnowableRow['pair']): KnowableRow => ({
  what,
  first,
  pair,
});

/** A row of a fault that is too small to be told below a size. */
const from = (size: string, row: KnowableRow): KnowableRow => ({ ...row, from: size });
const LESS = 'a tenth less delivery';

type Judged = Exclude<FaultName, 'unknown-trouble'>;

/**
 * What can be known of each fault, and from what. Needs and look-alikes: what two signals leave
 * open by physics (volumes are known up to one factor, level and wear move delivery alike, a leak
 * has no place at rest, a start lasts less than a second), and common practice.
 */
export const KNOWABLE: Record<Judged, KnowableRow> = {
  'tank-waterlogged': from(
    'half the tank lost',
    row(
      'a waterlogged tank',
      [need('P', { test: 'precharge' }), need('P', { test: 'drain' })],
      like(need('P'), 'precharge-low', 'tank-isolated'),
    ),
  ),
  'precharge-low': row(
    'an air charge that is low',
    [need('P', { test: 'precharge' }), need('P', { test: 'drain' })],
    like(need('P', LEARNT), 'tank-waterlogged'),
  ),
  'precharge-high': from(
    '3.5 psi above cut-in',
    row('an air charge above cut-in', [need('P', { ...LEARNT, restIntervalS: 5 })]),
  ),
  'tank-isolated': row(
    'a tank shut off from the line',
    [need('P', { test: 'look' })],
    like(need('P'), 'tank-waterlogged'),
  ),
  'tank-undersized': from(
    'half as much water again',
    row('a tank too small for the pump', [need('P I', LEARNT)]),
  ),
  'leak-house': from(
    '0.075 gpm',
    row(
      'a leak in the house',
      [],
      like(need('P', { test: 'isolation' }), 'fixture-running'),
      like(need('P'), 'check-valve-leak', 'leak-before-house-valve', 'fixture-running'),
    ),
  ),
  'leak-burst': row(
    'a burst pipe',
    [need('P I', { test: 'look' })],
    like(need('P I'), 'heavy-use', 'leak-house'),
  ),
  'fixture-running': from(
    '0.15 gpm, or a refill every half hour',
    row('a fixture that runs on', [need('P', { test: 'look' })], like(need('P'), 'leak-house')),
  ),
  'heavy-use': from(
    'three hours a day',
    row('heavy use', [need('P I', { test: 'look' })], like(need('P I'), 'leak-burst')),
  ),
  'relief-lifting': row('a relief valve that lifts', [need('P I')]),
  'check-valve-leak': row(
    'a check valve that leaks back',
    [],
    like(need('P', { test: 'isolation' }), 'leak-before-house-valve'),
    like(need('P'), 'leak-house', 'leak-before-house-valve'),
  ),
  'leak-before-house-valve': row(
    'a leak before the house valve',
    [],
    like(need('P', { test: 'isolation' }), 'check-valve-leak'),
    like(need('P'), 'check-valve-leak', 'leak-house'),
  ),
  'drop-pipe-parted': row(
    'a drop pipe that has parted',
    [need('P I', { ...LEARNT, test: 'isolation' })],
    like(need('P I', LEARNT), 'leak-burst'),
  ),
  'level-falling-in-run': from(
    LESS,
    row(
      'a level that falls in every run',
      [need('P I', { ...LEARNT, test: 'sounding' })],
      like(need('P I', LEARNT), 'running-dry', 'static-level-falling'),
    ),
  ),
  'running-dry': row(
    'a pump that runs dry',
    [need('P I', { test: 'sounding' })],
    like(need('P I'), 'pump-uncoupled', 'gas-in-water'),
  ),
  'gas-in-water': from(
    '6 % of gas',
    row(
      'gas in the water',
      [need('P I', { ...FAST, ...AT_SET_TIMES, ...LEARNT, test: 'sounding' })],
      like(need('P I', { ...FAST, ...AT_SET_TIMES, ...LEARNT }), 'running-dry'),
    ),
  ),
  'screen-clogged': from(
    LESS,
    row(
      'a clogged well screen',
      [need('P I', { baselineDays: 365, test: 'sounding' })],
      like(need('P I', LEARNT), 'level-falling-in-run'),
    ),
  ),
  'static-level-falling': from(
    LESS,
    row(
      'a static level that falls',
      [need('P I', { ...LEARNT, test: 'sounding' })],
      like(need('P I', LEARNT), 'pump-worn', 'level-falling-in-run'),
    ),
  ),
  'pump-worn': from(
    LESS,
    row(
      'a worn pump',
      [],
      like(need('P I', { ...LEARNT, test: 'sounding' }), 'intake-clogged', 'valve-part-shut'),
      like(need('P I', { ...LEARNT, test: 'throttle' }), 'intake-clogged', 'valve-part-shut'),
      like(need('P I', LEARNT), 'static-level-falling', 'intake-clogged', 'valve-part-shut'),
    ),
  ),
  'intake-clogged': from(
    LESS,
    row(
      'a clogged pump intake',
      [],
      like(need('P I', { ...LEARNT, test: 'look' }), 'pump-worn'),
      like(need('P I', LEARNT), 'valve-part-shut', 'pump-worn'),
    ),
  ),
  'valve-part-shut': from(
    LESS,
    row(
      'a valve left half shut',
      [need('P I', { ...LEARNT, test: 'look' })],
      like(need('P I', LEARNT), 'intake-clogged', 'pump-worn'),
    ),
  ),
  'pump-uncoupled': row(
    'a pump that has come off its motor',
    [need('P I', { test: 'sounding' })],
    like(need('P I'), 'running-dry'),
  ),
  'pump-dragging': from('an eighth more load', row('a pump that drags', [need('P I', LEARNT)])),
  'pump-changed': row('another pump', [need('P I', LEARNT)]),
  'rotor-locked': row(
    'a locked rotor',
    [need('I', { test: 'electrician' })],
    like(need('I'), 'start-circuit-weak'),
  ),
  'start-circuit-weak': row('the start circuit', [need('I S'), need('I', { runIntervalS: 0.2 })]),
  'run-capacitor-weak': from(
    'three tenths of its capacitance lost',
    row('a weak run capacitor', [need('P I V', LEARNT)], like(need('P I', LEARNT), 'voltage-low')),
  ),
  'overload-tripping': row(
    'an overload protector that trips',
    [need('P I', { test: 'electrician' })],
    like(need('P I'), 'rotor-locked'),
  ),
  'voltage-low': row('low voltage', [need('V', LEARNT)]),
  'voltage-high': row('high voltage', [need('V', LEARNT)]),
  'joint-hot': from(
    '3 % of the voltage lost',
    row('a bad joint in the supply', [need('I V', LEARNT)]),
  ),
  'power-out': row('a power cut', [need('V')], like(need('P I'), 'switch-no-start', 'data-gap')),
  'switch-nipple-plugged': row(
    'a plugged switch nipple',
    [need('P I', { ...LEARNT, test: 'look' })],
    like(need('P I', LEARNT), 'switch-drift'),
  ),
  'switch-drift': row(
    'a pressure switch that has drifted',
    [need('P I', { ...LEARNT, test: 'look' })],
    like(need('P I', LEARNT), 'pressure-drift'),
  ),
  'switch-chatter': row('a switch that chatters', [need('I K'), need('I', FAST)]),
  'switch-welded': row('a switch that does not open', [need('P I')]),
  'cut-out-unreachable': row(
    'a cut-out above what the pump can make',
    [need('P I', { test: 'sounding' })],
    like(need('P I'), 'pump-worn', 'level-falling-in-run'),
  ),
  'switch-no-start': row(
    'a switch or breaker that stays open',
    [need('P I V T')],
    like(need('P I V'), 'frozen'),
    like(need('P I'), 'power-out', 'frozen'),
  ),
  'water-hammer': row('water hammer', [need('P', FASTEST)]),
  frozen: row('a frozen pipe', [need('P I T')], like(need('P I'), 'switch-no-start')),
  'filter-plugged': from('a third less flow', row('a plugged filter', [need('P', LEARNT)])),
  'pressure-wire-open': row('an open pressure wire', [need('P')]),
  'pressure-wire-short': row('a short in the pressure wire', [need('P')]),
  'pressure-supply-sag': from('3 % of the supply', row('a sensor supply that sags', [need('P I')])),
  'pressure-drift': row(
    'a pressure sensor that drifts',
    [need('P I', { ...LEARNT, test: 'look' })],
    like(need('P I', LEARNT), 'switch-drift'),
  ),
  'pressure-port-plugged': from('a lag of 20 s', row('a plugged sensor port', [need('P I')])),
  'current-clamp-gap': row('a current clamp that is not closed', [need('P I', LEARNT)]),
  'current-clamp-off': row('a current clamp off its wire', [need('P I')]),
  'current-clipped': row('a current reading that is cut off', [need('I')]),
  'adc-stuck': row('a reading that stands still', [need('P I', AT_SET_TIMES)]),
  'clock-jump': row('a clock that jumps', [need('P')]),
  'data-gap': row('a gap in the readings', [need('P V')], like(need('P'), 'power-out')),
  'sampling-too-slow': from(
    'a reading every 30 s',
    row('readings that come too seldom', [need('P')]),
  ),
};

const TEST_WORDS: Record<TestName, string> = {
  bucket: 'a bucket test',
  isolation: 'an isolation test',
  precharge: 'a precharge test',
  drain: 'a drain test',
  fill: 'a fill test',
  throttle: 'a throttle test',
  recovery: 'a recovery test',
  sounding: 'a sounding',
  electrician: 'an electrician',
  look: 'a look',
};

const rate = (intervalS: number, when: string) =>
  `a reading every ${intervalS === 1 ? 'second' : `${intervalS} s`} ${when}`;

/** A need as a list of words, what is at hand left out. */
function lacking(want: Need, has: AtHand): string[] {
  const words: string[] = want.channels.filter((channel) => !has.channels.includes(channel));
  const { runIntervalS, restIntervalS, baselineDays, test } = want;
  if (runIntervalS !== undefined && has.runIntervalS > runIntervalS)
    words.push(rate(runIntervalS, 'while the pump runs'));
  if (restIntervalS !== undefined && has.restIntervalS > restIntervalS)
    words.push(rate(restIntervalS, 'at rest'));
  if (want.atSetTimes && !has.atSetTimes) words.push('readings at set times');
  if (baselineDays !== undefined && has.baselineDays < baselineDays)
    words.push(`${baselineDays} days of sound running`);
  if (test !== undefined && has.test !== test) words.push(TEST_WORDS[test]);
  return words;
}

const NOTHING: AtHand = {
  channels: [],
  runIntervalS: Number.POSITIVE_INFINITY,
  restIntervalS: Number.POSITIVE_INFINITY,
  atSetTimes: false,
  baselineDays: 0,
  test: null,
};

/** A need in words, as the docs print it. */
export const needInWords = (want: Need): string => lacking(want, NOTHING).join(', ');

const list = (words: readonly string[], last: string) =>
  words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} ${last} ${words.at(-1)}`;

/** What is missing as one phrase; a channel is a single word. */
export const missingInWords = (missing: readonly string[]): string =>
  list(
    missing.map((word) => (word.includes(' ') ? word : `the channel ${word}`)),
    'and',
  );

/** The need with least missing. */
function nearest(needs: readonly Need[], has: AtHand): string[] {
  const all = needs.map((want) => lacking(want, has));
  return all.reduce((best, one) => (one.length < best.length ? one : best), all[0] ?? []);
}

/** Whether a fault can be told from what is at hand, how far, and what is missing. */
export function knowable(fault: Judged, has: AtHand): Knowable {
  const { what, first, pair } = KNOWABLE[fault];
  const met = (want: Need) => lacking(want, has).length === 0;
  if (first.some(met))
    return { level: 'first', group: [], missing: [], says: `${capital(what)} can be named.` };
  const one = pair.find((p) => met(p.need));
  if (one !== undefined) {
    const narrower = pair.slice(0, pair.indexOf(one)).map((p) => p.need);
    const missing = nearest([...first, ...narrower], has);
    const others = list(
      one.group.map((name) => KNOWABLE[name as Judged].what),
      'or',
    );
    const tells = missing.length === 0 ? '' : `; to tell more takes ${missingInWords(missing)}`;
    const says = `${capital(what)} looks the same from here as ${others}${tells}.`;
    return { level: 'pair', group: one.group, missing, says };
  }
  const missing = nearest([...pair.map((p) => p.need), ...first], has);
  return { level: 'not-judgeable', group: [], missing, says: cannot(what, missing, has) };
}

function cannot(what: string, missing: readonly string[], has: AtHand): string {
  const channels = missing.filter((word) => !word.includes(' '));
  const known = has.channels.length > 0;
  const where = channels.length > 0 ? (known ? 'from these channels' : 'without channels') : 'yet';
  return `${capital(what)} can't be judged ${where}: it takes ${missingInWords(missing)}.`;
}
