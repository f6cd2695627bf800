import { FAULT_NAMES, type FaultName } from './faults.ts';
import { type AtHand, KNOWABLE, type Knowable, knowable, missingInWords } from './knowable.ts';
import type { TestName } from './study.ts';

/** Faults that can't be judged for want of the same thing. */
export interface Blind {
  faults: FaultName[];
  /** For the keeper, without its full stop. */
  says: string;
}

const NAMED = 6;

/** What can't be judged with what is at hand, together where the same is missing. */
export function cannotJudge(has: AtHand, judged: ReadonlySet<string>): Blind[] {
  const groups = new Map<string, { faults: FaultName[]; missing: readonly string[] }>();
  for (const fault of FAULT_NAMES) {
    if (fault === 'unknown-trouble' || judged.has(fault)) continue;
    const { level, missing } = knowable(fault, has);
    if (level !== 'not-judgeable') continue;
    const key = missing.join();
    const group = groups.get(key) ?? { faults: [], missing };
    group.faults.push(fault);
    groups.set(key, group);
  }
  return [...groups.values()].map(({ faults, missing }) => ({
    faults,
    says: inWords(faults, missing),
  }));
}

function inWords(faults: readonly FaultName[], missing: readonly string[]): string {
  const words = faults.map((fault) => KNOWABLE[fault as keyof typeof KNOWABLE].what);
  const more = words.length - NAMED;
  const named = more > 1 ? [...words.slice(0, NAMED), `${more} more`] : words;
  // A channel is one word; what else is missing is a matter of time or of how the device reads.
  const where = missing.some((word) => !word.includes(' ')) ? 'from these channels' : 'yet';
  return `${and(named)} can't be judged ${where}: it takes ${missingInWords(missing)}`;
}

const and = (words: readonly string[]): string =>
  words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;

const RANK = { first: 0, pair: 1, 'not-judgeable': 2 };

/** What looks the same as a fault with the tests made; null where it stands alone. */
export function alikeTo(
  fault: FaultName,
  has: AtHand,
  made: readonly TestName[],
): Pick<Knowable, 'group' | 'says'> | null {
  if (fault === 'unknown-trouble') return null;
  const all = [null, ...made].map((test) => knowable(fault, { ...has, test }));
  const best = all.reduce((a, b) =>
    RANK[b.level] < RANK[a.level] || (b.level === a.level && b.group.length < a.group.length)
      ? b
      : a,
  );
  return best.level === 'pair' ? { group: best.group, says: best.says } : null;
}
