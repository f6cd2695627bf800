import { ACT_CAUTIONS } from '../../model/cautions.ts';
import {
  DEFERS,
  type InstallationInput,
  type InstallationKind,
  type InstallationLimit,
  type InstallationResult,
  type Verdict,
} from '../../model/installation.ts';

/** Why an input is not there: keys that the file lacks, or a result that has no value. */
export interface Lacking {
  needs: string[];
  waitsFor?: string;
}

/** An input before it has its symbol, or why it is not there. */
export type Given = Omit<InstallationInput, 'symbol'> | Lacking;

type Act = keyof typeof ACT_CAUTIONS;

type Figures<K extends string> = Record<K, number>;

/** What a check says about its value. */
interface Says {
  /** Where the value is within its limit, or has none. */
  good: string | ((value: number) => string);
  /** Where it is beyond; may say other things on either side. */
  bad?: string | ((value: number) => string);
  /** Where all inputs are there and still no value comes out. */
  none?: string;
}

export interface Check<K extends string> {
  id: string;
  title: string;
  formula: string | { us: string; si: string };
  solved?: boolean;
  /** What each side of the solved equation comes to. */
  sides?: (value: number, x: Figures<K>) => { value: number; kind: InstallationKind };
  source: string;
  kind: InstallationKind;
  inputs: Record<K, Given>;
  value: (x: Figures<K>) => number;
  limit?: InstallationLimit | null;
  says: Says;
  /** What beyond asks to be done: its cautions stand beside it. */
  acts: readonly Act[];
}

/** Works a check out: value, uncertainty, verdict; or what it lacks. */
export function worked<K extends string>(check: Check<K>): InstallationResult {
  const given = Object.entries(check.inputs) as [K, Given][];
  const inputs = given.flatMap(([symbol, one]) => ('needs' in one ? [] : [{ symbol, ...one }]));
  const lacking = given.flatMap(([, one]) => ('needs' in one ? [one] : []));
  if (lacking.length > 0) return { ...shell(check), inputs, ...unknownFor(lacking) };
  const changed = (change: Partial<Record<string, number>>) =>
    Object.fromEntries(inputs.map((x) => [x.symbol, change[x.symbol] ?? x.value])) as Figures<K>;
  const at = (change: Partial<Record<string, number>>) => check.value(changed(change));
  const value = at({});
  if (!Number.isFinite(value)) {
    const says = check.says.none ?? 'The figures do not go together.';
    return { ...shell(check), inputs, verdict: 'not-known', says };
  }
  const std = spreadOf(value, inputs, at);
  const limit = check.limit ?? null;
  const verdict = verdictOf(value, limit);
  const { bad, good } = check.says;
  const words = verdict === 'beyond' ? (bad ?? good) : good;
  return {
    ...shell(check),
    inputs,
    sides: check.sides?.(value, changed({})) ?? null,
    value,
    std,
    limit,
    verdict,
    close: limit !== null && isClose(value, std, limit),
    says: typeof words === 'function' ? words(value) : words,
    cautions: verdict === 'beyond' ? cautionsOf(check.acts) : [],
  };
}

function unknownFor(lacking: readonly Lacking[]): { needs: string[]; says: string } {
  const needs = [...new Set(lacking.flatMap((one) => one.needs))];
  if (needs.length > 0) return { needs, says: `Needs ${list(needs)}.` };
  const waits = [...new Set(lacking.flatMap((one) => one.waitsFor ?? []))];
  return { needs, says: `Has no value while these have none: ${list(waits)}.` };
}

/** A check that this installation has no use for. */
export function unneeded<K extends string>(check: Check<K>, says: string): InstallationResult {
  return { ...shell(check), verdict: 'does-not-apply', says };
}

function shell<K extends string>(check: Check<K>): InstallationResult {
  const { id, title, formula, source, kind } = check;
  return {
    id,
    title,
    formula: typeof formula === 'string' ? { us: formula, si: formula } : formula,
    solved: check.solved ?? false,
    sides: null,
    source,
    inputs: [],
    kind,
    value: null,
    std: null,
    limit: null,
    verdict: 'not-known',
    close: false,
    says: '',
    defers: DEFERS,
    needs: [],
    cautions: [],
  };
}

/**
 * Standard uncertainty by half the change of the value over two standard uncertainties of each
 * input, added in squares (GUM 5.1.3 note 2). Where one side has no value the other counts whole.
 */
function spreadOf(
  value: number,
  inputs: readonly InstallationInput[],
  at: (change: Partial<Record<string, number>>) => number,
): number {
  let variance = 0;
  for (const { symbol, value: x, std } of inputs) {
    const up = at({ [symbol]: x + std }) - value;
    const down = value - at({ [symbol]: x - std });
    const both = [up, down].filter(Number.isFinite);
    const change = both.reduce((sum, part) => sum + part, 0) / Math.max(both.length, 1);
    variance += change * change;
  }
  return Math.sqrt(variance);
}

function verdictOf(value: number, limit: InstallationLimit | null): Verdict {
  if (limit === null) return 'no-limit';
  const low = limit.least !== null && value < limit.least.value;
  const high = limit.most !== null && value > limit.most.value;
  return low || high ? 'beyond' : 'within';
}

function isClose(value: number, std: number, limit: InstallationLimit): boolean {
  const ends = [limit.least, limit.most].flatMap((end) => (end === null ? [] : [end.value]));
  return ends.some((end) => Math.abs(value - end) < 2 * std);
}

const cautionsOf = (acts: readonly Act[]) => [...new Set(acts.flatMap((act) => ACT_CAUTIONS[act]))];

const list = (words: readonly string[]) =>
  words.length < 2
    ? words.join('')
    : `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`;

/** A result as the input of another; what it lacks is lacking there too. */
export function fromResult(result: InstallationResult, what = result.title): Given {
  const { value, std, kind, id, needs, title } = result;
  if (value === null || std === null) return { needs, waitsFor: lowered(title) };
  return { what: lowered(what), value, std, kind, origin: { from: 'result', id } };
}

const lowered = (text: string) => text.charAt(0).toLowerCase() + text.slice(1);

/** A figure that the well file does not hold. */
export function assumed(
  what: string,
  value: number,
  { std, kind, because }: { std: number; kind: InstallationKind; because: string },
): Given {
  return { what, value, std, kind, origin: { from: 'assumed', because } };
}

export const atLeast = (value: number, rule: string, source: string): InstallationLimit => ({
  least: { value },
  most: null,
  rule,
  source,
});

export const atMost = (value: number, rule: string, source: string): InstallationLimit => ({
  least: null,
  most: { value },
  rule,
  source,
});
