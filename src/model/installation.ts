import type { DisplayKind } from '../units/format.ts';
import type { CautionId } from './cautions.ts';
import type { SourceMark } from './well.ts';

/** Kinds that only the installation check shows, beside those of the whole program. */
export type InstallationKind =
  | DisplayKind
  | 'diameter'
  | 'conductor'
  | 'speed'
  | 'resistance'
  | 'per-hour'
  | 'per-day'
  | 'minutes'
  | 'number';

/** Where a figure of the working comes from. */
export type InputOrigin =
  | { from: 'file'; key: string; source: SourceMark }
  | { from: 'assumed'; because: string }
  | { from: 'result'; id: string };

/** A figure that goes into a result, SI, under the symbol it has in the formula. */
export interface InstallationInput {
  symbol: string;
  what: string;
  value: number;
  std: number;
  kind: InstallationKind;
  origin: InputOrigin;
}

/** What a result is held against; both ends where it must lie between two. */
export interface InstallationLimit {
  /** SI, of the kind of the result; null where that side is free. */
  least: { value: number } | null;
  most: { value: number } | null;
  /** The rule in words, and who set it. */
  rule: string;
  source: string;
}

/** Stands with every result. */
export const DEFERS = 'Local code and a licensed installer come first.';

export type Verdict = 'within' | 'beyond' | 'no-limit' | 'not-known' | 'does-not-apply';

/** One thing a contractor works out on the back of a box lid. */
export interface InstallationResult {
  id: string;
  title: string;
  /**
   * What the value is in the units people see, with the symbols of `inputs`: numbers, + - × / ^,
   * brackets and sqrt only, so that whoever follows it comes to the value shown. Where `solved` is
   * true it is an equation that the value fulfils.
   */
  formula: { us: string; si: string };
  solved: boolean;
  /** Of an equation that was solved: what each of its sides comes to, where that tells more. */
  sides: { value: number; kind: InstallationKind } | null;
  source: string;
  inputs: InstallationInput[];
  kind: InstallationKind;
  /** SI; null where not known. */
  value: number | null;
  std: number | null;
  limit: InstallationLimit | null;
  verdict: Verdict;
  /** The limit lies within the uncertainty (two standard uncertainties) of the value. */
  close: boolean;
  /** What it means, or why there is no value. */
  says: string;
  /** Who decides in the end. */
  defers: string;
  /** Keys of the well file without which there is no value. */
  needs: string[];
  /** Cautions that stand beside what it asks for. */
  cautions: CautionId[];
}

export interface InstallationReport {
  results: InstallationResult[];
  /** Keys of the well file that are not there, with how many results wait for them, most first. */
  missing: { key: string; count: number }[];
}
