import type { FaultName } from '../../model/faults.ts';
import { OWNER_TESTS } from '../../model/owner-tests.ts';
import type { TestName, Urgency } from '../../model/study.ts';
import type { Equipment } from '../../model/well.ts';
import type { Chance } from './chances.ts';

/** What decides which test comes next for a finding. */
export interface Situation {
  /** Fault and what else it could be; these add up to 1. */
  odds: readonly Chance[];
  urgency: Urgency;
  /** The usual test of the first fault. */
  usual: TestName | null;
  /** Tests that speak for it already. */
  made: readonly TestName[];
  /** What stands open on this well with a chance worth minding, this finding among it. */
  open: ReadonlySet<FaultName>;
  /** Longest usual interval of pressure readings [s]; NaN where not learnt. */
  restS: number;
  runS: number;
  equipment: Pick<Equipment, 'staticLevelM' | 'reliefPaGauge' | 'tankRatedPaGauge'>;
  /** A throttle test of this pump when it was sound is on record. */
  hasEarlierSweep: boolean;
}

/** Faults that give one outcome together, and the share of them that the test does show. */
interface Outcome {
  shows: number;
  faults: readonly FaultName[];
}

const shown = (shows: number, ...faults: FaultName[]): Outcome => ({ shows, faults });
const each = (shows: number, ...faults: FaultName[]) => faults.map((fault) => shown(shows, fault));

/**
 * How each test parts the faults (common practice of the trade; how often it shows them is from
 * memory). Faults that are not named show nothing.
 */
const OUTCOMES: Partial<Record<TestName, readonly Outcome[]>> = {
  look: [
    ...each(0.8, 'heavy-use', 'power-out', 'switch-no-start', 'frozen', 'tank-isolated'),
    ...each(0.5, 'leak-burst', 'fixture-running', 'valve-part-shut', 'relief-lifting'),
    ...each(0.5, 'filter-plugged', 'gas-in-water', 'pump-changed'),
    shown(0.9, 'pressure-drift'),
    shown(0.8, 'current-clamp-gap', 'current-clamp-off'),
  ],
  isolation: [
    shown(0.9, 'leak-house', 'fixture-running', 'leak-burst', 'heavy-use'),
    shown(0.9, 'check-valve-leak', 'leak-before-house-valve', 'drop-pipe-parted'),
  ],
  precharge: each(0.95, 'precharge-low', 'precharge-high', 'tank-waterlogged'),
  drain: [
    ...each(0.8, 'precharge-low', 'precharge-high', 'tank-waterlogged', 'tank-isolated'),
    shown(0.8, 'pressure-drift'),
  ],
  fill: [
    shown(
      0.85,
      'static-level-falling',
      'level-falling-in-run',
      'screen-clogged',
      'pump-worn',
      'intake-clogged',
      'valve-part-shut',
    ),
  ],
  throttle: [
    ...each(0.75, 'static-level-falling', 'pump-worn'),
    shown(0.75, 'intake-clogged', 'valve-part-shut'),
  ],
  recovery: [shown(0.75, 'level-falling-in-run', 'screen-clogged')],
  sounding: [
    shown(0.9, 'level-falling-in-run', 'running-dry', 'screen-clogged'),
    shown(0.9, 'static-level-falling'),
  ],
  electrician: [
    ...each(0.85, 'run-capacitor-weak', 'voltage-low', 'voltage-high', 'start-circuit-weak'),
    ...each(0.85, 'rotor-locked', 'overload-tripping', 'joint-hot', 'pump-dragging'),
    ...each(0.85, 'switch-chatter', 'switch-nipple-plugged', 'switch-welded'),
  ],
};

const entropy = (probability: number): number =>
  probability > 0 ? -probability * Math.log2(probability) : 0;

/**
 * What a test is expected to tell of odds [bit]: their entropy less that expected after it. As a
 * fault leads to its outcome or to none, that is the entropy of the outcomes less that of a miss.
 */
export function expectedBits(odds: readonly Chance[], outcomes: readonly Outcome[]): number {
  let bits = 0;
  let nothing = 1;
  for (const { shows, faults } of outcomes) {
    const share = odds.reduce((s, o) => s + (faults.includes(o.fault) ? o.probability : 0), 0);
    bits += entropy(share * shows) - share * (entropy(shows) + entropy(1 - shows));
    nothing -= share * shows;
  }
  return bits + entropy(nothing);
}

/** Price of a test, a look being about 1: money and effort, risk, hours (from memory). */
function price(test: TestName): number {
  const { cost, risk, takesS } = OWNER_TESTS[test];
  return 1 + 0.4 * cost + 0.2 * risk + (0.3 * takesS) / 3600;
}

/** What draws long from a well that may be dry, or works a pump that may be. */
const WORKS_PUMP: readonly TestName[] = ['fill', 'throttle', 'recovery'];
const SPARE_PUMP: readonly FaultName[] = [
  'running-dry',
  'pump-uncoupled',
  'drop-pipe-parted',
  'gas-in-water',
  'cut-out-unreachable',
  'rotor-locked',
  'overload-tripping',
];
/** What shuts the house off leaves relief valve and switch as the only guards. */
const SHUTS_VALVE: readonly TestName[] = ['isolation', 'fill'];
const GUARDS: readonly FaultName[] = [
  'switch-welded',
  'switch-nipple-plugged',
  'relief-lifting',
  'tank-isolated',
];

/** Whether well file, readings and what stands open leave the test open. */
function canBeMade(test: TestName, now: Situation): boolean {
  const { by, readingS } = OWNER_TESTS[test];
  // What cannot wait is acted upon: the owner looks at most, the rest is for those who come.
  if (now.urgency === 'now' && by === 'owner' && test !== 'look') return false;
  if (WORKS_PUMP.includes(test) && SPARE_PUMP.some((fault) => now.open.has(fault))) return false;
  if (SHUTS_VALVE.includes(test) && !isGuarded(now)) return false;
  const intervalS = WORKS_PUMP.includes(test) ? now.runS : now.restS;
  return readingS === null || !(intervalS > readingS);
}

function isGuarded({ open, equipment }: Situation): boolean {
  const { reliefPaGauge: relief, tankRatedPaGauge: rated } = equipment;
  const late = relief !== null && rated !== null && relief.value > rated.value;
  return !late && !GUARDS.some((fault) => open.has(fault));
}

/** What a test can tell here: some tell less without what they compare with. */
function outcomesOf(test: TestName, now: Situation): readonly Outcome[] {
  const outcomes = OUTCOMES[test]!;
  if (test === 'throttle' && !now.hasEarlierSweep) return [];
  if (test !== 'sounding' || now.equipment.staticLevelM !== null) return outcomes;
  return outcomes.filter(({ faults }) => !faults.includes('static-level-falling'));
}

/** Less than this is not worth a test by what it tells [bit]: then the usual one stands. */
const LEAST_BITS = 0.15;

/**
 * The test that tells most for its price: never one that speaks already, that the readings cannot
 * follow or that what is known of the well forbids. Where odds leave little open it is the usual
 * one of the fault, which confirms it.
 */
export function nextTest(now: Situation): TestName | null {
  const open = (test: TestName): boolean => !now.made.includes(test) && canBeMade(test, now);
  let best: TestName | null = now.usual !== null && open(now.usual) ? now.usual : null;
  let most = 0;
  for (const test of Object.keys(OUTCOMES) as TestName[]) {
    if (!open(test)) continue;
    const bits = expectedBits(now.odds, outcomesOf(test, now));
    const worth = bits / price(test);
    if (bits < LEAST_BITS || worth <= most) continue;
    best = test;
    most = worth;
  }
  return best;
}
