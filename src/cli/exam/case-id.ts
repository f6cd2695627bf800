import { FAULT_NAMES, type FaultName } from '../../model/faults.ts';
import { SYSTEMS } from '../../simulation/catalogue.ts';
import type { RehearsedFault } from '../../simulation/faults/faults.ts';
import { UsageError } from '../usage.ts';

/** One well of an exam; all else about it follows from this. */
export interface ExamCase {
  /** None in a sound well. */
  faults: RehearsedFault[];
  system: string;
  severity: number;
  seed: number;
  days: number;
  sickFromStart: boolean;
}

const SOUND = 'healthy';
const FORM = '<fault>[+<fault>].<system>.<severity in %>.<seed>.<days>[s]';

/** The name of a case: `pump-worn.C.60.1042.45`; an `s` at the end is sick from the start. */
export function idOf(one: ExamCase): string {
  const { faults, system, severity, seed, days, sickFromStart } = one;
  const names = faults.length === 0 ? SOUND : faults.join('+');
  const start = sickFromStart ? 's' : '';
  return `${names}.${system}.${Math.round(100 * severity)}.${seed}.${days}${start}`;
}

const isRehearsed = (name: string): name is RehearsedFault =>
  name !== 'unknown-trouble' && FAULT_NAMES.includes(name as FaultName);

/** The case of a name. */
export function caseOf(id: string): ExamCase {
  const match = /^([a-z+-]+)\.([A-Z])\.(\d+)\.(\d+)\.(\d+)(s?)$/.exec(id);
  if (match === null) throw new UsageError(`--case: expected ${FORM}, found "${id}"`);
  const [, names = '', system = '', severity, seed, days, start] = match;
  const faults = names === SOUND ? [] : names.split('+').map(faultFor);
  if (!SYSTEMS.some((s) => s.letter === system))
    throw new UsageError(`--case: expected a system from A to L, found "${system}"`);
  return {
    faults,
    system,
    severity: Number(severity) / 100,
    seed: Number(seed),
    days: Number(days),
    sickFromStart: start === 's',
  };
}

export function faultFor(name: string): RehearsedFault {
  if (isRehearsed(name)) return name;
  throw new UsageError(`expected a fault of docs/knowable.md, found "${name}"`);
}
