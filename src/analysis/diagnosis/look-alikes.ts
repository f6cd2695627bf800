import type { FaultName } from '../../model/faults.ts';
import { KNOWABLE, type KnowableRow } from '../../model/knowable.ts';
import type { Channel } from '../../model/reading.ts';
import { type Chance, reweighed } from './chances.ts';
import type { Deviations } from './odds.ts';

/** Of what looks the same each is at least so likely as this share of the first. */
const LEAST_SHARE = 0.12;

/** Whether these channels alone, without any test, name it. */
const namedBy = ({ first }: KnowableRow, channels: ReadonlySet<Channel>): boolean =>
  first.some(({ test, channels: need }) => !test && need.every((one) => channels.has(one)));

/**
 * And what moves one point of one curve alike: a choke and a deeper level both make the pump work
 * against more head; drag and a weak capacitor both raise amps and leave delivery.
 */
const ALSO: readonly (readonly [FaultName, FaultName])[] = [
  ['valve-part-shut', 'static-level-falling'],
  ['intake-clogged', 'static-level-falling'],
  ['pump-dragging', 'run-capacitor-weak'],
];

/** Whether the table of what can be known says that one looks like the other. */
function looksLike(one: FaultName, other: FaultName, channels: ReadonlySet<Channel>): boolean {
  if (one === 'unknown-trouble') return false;
  if (ALSO.some((pair) => pair[0] === one && pair[1] === other)) return true;
  const row = KNOWABLE[one];
  return !namedBy(row, channels) && row.pair.some(({ group }) => group.includes(other));
}

/**
 * Odds in which what looks the same as the first fault is not ruled out. How far a fault moves a
 * measure is known from memory only: that may put one of a pair in front, and not the other away.
 * What cannot be on this well is not in the list, or has no chance in it.
 */
export function withLookAlikes(odds: readonly Chance[], seen: Deviations): Chance[] {
  const first = odds[0]!;
  const least = LEAST_SHARE * first.probability;
  const channels = new Set<Channel>(['pressure', 'current']);
  if (seen.mains !== undefined) channels.add('mains');
  if (seen['start-time'] !== undefined) channels.add('start-time');
  const alike = ({ fault, probability }: Chance): boolean =>
    probability > 0 &&
    (looksLike(fault, first.fault, channels) || looksLike(first.fault, fault, channels));
  const raised = odds.map((one) =>
    alike(one) ? { ...one, probability: Math.max(one.probability, least) } : one,
  );
  return reweighed(raised, () => 1);
}
