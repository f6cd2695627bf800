import { evenNumbers } from './numbers.ts';
import type { RehearsedLog } from './rehearsed-log.ts';

/** What is done to a log: how often, as a share of its readings, and how many times. */
export interface Mangling {
  /** Any whole number: the same gives the same log. */
  seed: number;
  duplicated: number;
  disordered: number;
  lost: number;
  unusable: number;
  gaps: number;
  clockSteps: number;
}

type Entry = [timeS: number, channel: number, value: number];

const UNUSABLE = [Number.NaN, Number.POSITIVE_INFINITY, -3e5, 9e7, 0];
const STEPS_S = [-7200, -3600, -90, 45, 3600, 86_400 * 500, -1.7e9];

/**
 * A log as it comes from a bad device over a bad network: readings twice, out of order, lost, with
 * values no sensor can say; hours missing; a clock that steps for a while and comes back.
 */
export function mangled(log: RehearsedLog, how: Mangling): RehearsedLog {
  const random = evenNumbers(how.seed);
  const count = log.timeS.length;
  const from = (): number => Math.floor(random() * count);
  const gaps = Array.from({ length: how.gaps }, () => [from(), 50 + random() * 3000] as const);
  const steps = Array.from({ length: how.clockSteps }, () => {
    const stepS = STEPS_S[Math.floor(random() * STEPS_S.length)]!;
    return [from(), 1 + random() * 400, stepS] as const;
  });
  const out: Entry[] = [];
  for (let i = 0; i < count; i++) {
    if (random() < how.lost || gaps.some(([at, long]) => i >= at && i < at + long)) continue;
    const step = steps.find(([at, long]) => i >= at && i < at + long)?.[2] ?? 0;
    const bad = random() < how.unusable;
    const value = bad ? UNUSABLE[Math.floor(random() * UNUSABLE.length)]! : log.value[i]!;
    const entry: Entry = [log.timeS[i]! + step, log.channel[i]!, value];
    out.push(entry);
    if (random() < how.duplicated) out.push([...entry]);
    if (random() < how.disordered && out.length > 30) {
      const at = out.length - 1 - Math.floor(random() * 30);
      out.splice(at, 0, out.pop()!);
    }
  }
  return {
    ...log,
    timeS: out.map(([timeS]) => timeS),
    channel: out.map(([, channel]) => channel),
    value: out.map(([, , value]) => value),
  };
}
