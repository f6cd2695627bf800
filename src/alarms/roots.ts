import { FAULT_NAMES, type FaultName } from '../model/faults.ts';
import { KNOWABLE } from '../model/knowable.ts';
import type { Channel } from '../model/reading.ts';
import type { Evidence } from '../model/study.ts';

/** What follows from a cause of the well itself: one cause is told, not its consequences. */
const FOLLOWS: Partial<Record<FaultName, readonly FaultName[]>> = {
  'power-out': ['switch-no-start', 'data-gap', 'voltage-low', 'overload-tripping'],
  'running-dry': ['cut-out-unreachable', 'level-falling-in-run', 'gas-in-water'],
  'leak-burst': ['cut-out-unreachable', 'heavy-use', 'leak-house', 'fixture-running'],
  'drop-pipe-parted': ['cut-out-unreachable', 'check-valve-leak', 'leak-before-house-valve'],
  'pump-uncoupled': ['cut-out-unreachable', 'pump-worn'],
  'rotor-locked': ['overload-tripping', 'start-circuit-weak', 'switch-no-start'],
  'tank-isolated': ['tank-waterlogged', 'precharge-low', 'switch-chatter', 'water-hammer'],
  'tank-waterlogged': ['switch-chatter', 'water-hammer', 'precharge-low'],
  'switch-welded': ['relief-lifting'],
  'switch-nipple-plugged': ['relief-lifting', 'switch-drift'],
  frozen: ['switch-no-start'],
};

/** Sensors whose faults leave a channel without a word that can be believed. */
const BLINDS: Partial<Record<FaultName, Channel>> = {
  'pressure-wire-open': 'pressure',
  'pressure-wire-short': 'pressure',
  'pressure-port-plugged': 'pressure',
  'adc-stuck': 'pressure',
  'current-clamp-off': 'current',
};

/** Faults of well, pump, tank and house that cannot be judged without a channel. */
function restingOn(channel: Channel): readonly FaultName[] {
  return FAULT_NAMES.filter((name) => {
    if (name === 'unknown-trouble' || Object.hasOwn(BLINDS, name)) return false;
    const { first, pair } = KNOWABLE[name];
    const needs = [...first, ...pair.map(({ need }) => need)];
    return needs.length > 0 && needs.every(({ channels }) => channels.includes(channel));
  });
}

const HIDDEN: Partial<Record<FaultName, readonly FaultName[]>> = Object.fromEntries(
  Object.entries(BLINDS).map(([fault, channel]) => [fault, restingOn(channel)]),
);

/** What an alarm is a root as: a current that stands still blinds as a clamp off its wire does. */
export const rootOf = (fault: FaultName, evidence: readonly Evidence[]): FaultName =>
  fault === 'adc-stuck' && evidence.length > 0 && evidence.every(({ unit }) => unit === 'A')
    ? 'current-clamp-off'
    : fault;

/** Whether a sensor at fault leaves another fault out of sight. */
export const hides = (root: FaultName, fault: FaultName): boolean =>
  HIDDEN[root]?.includes(fault) ?? false;

/** Whether a fault need not be told while another one stands. */
export const explains = (root: FaultName, fault: FaultName): boolean =>
  (FOLLOWS[root]?.includes(fault) ?? false) || hides(root, fault);
