import type { DayEntry } from '../model/study.ts';
import {
  bare,
  bareKnown,
  type Estimate,
  type Figures,
  type Shown,
  unitOf,
  volumeKind,
  volumeOf,
} from './figures.ts';
import { type Column, figureColumn } from './layout.ts';
import { WORDS } from './words.ts';

export const used = (day: DayEntry, f: Figures) => volumeOf(day, 'used', f);
export const lost = (day: DayEntry, f: Figures) => volumeOf(day, 'loss', f);
export const pumped = (day: DayEntry, f: Figures) => volumeOf(day, 'pumped', f);
export const energy = (day: DayEntry) => ({ value: day.energyJ, std: day.energyJStd });
export const cost = (day: DayEntry) => ({ value: day.cost, std: day.costStd });
export const levelDrop = (day: DayEntry) => ({ value: day.levelDropM, std: day.levelDropMStd });
export const pumpIndex = (day: DayEntry) => ({ value: day.pumpIndex, std: day.pumpIndexStd });

export type Gather = (values: number[]) => number;

/**
 * Sums. Uncertainties are added as they are: what makes the days uncertain (the scale, the power
 * factor) is the same on each of them, so they do not average out.
 */
export const total: Gather = (values) => values.reduce((sum, value) => sum + value, 0);

/** Means, whose uncertainty is for the same reason no less than that of a usual day. */
export const mean: Gather = (values) => total(values) / values.length;

interface Gathered extends Estimate {
  /** Days that know the quantity. */
  days: number;
}

/** A quantity gathered over the days that know it. */
export function gathered(all: Estimate[], gather: Gather): Gathered {
  const known = all.filter((e): e is { value: number; std: number } => e.value !== null);
  if (known.length === 0) return { value: null, std: null, days: 0 };
  const value = gather(known.map((e) => e.value));
  return { value, std: gather(known.map((e) => e.std)), days: known.length };
}

/** One column, or none when no row knows it. */
export function estimates(all: Estimate[], head: string, kind: Shown, figures: Figures): Column[] {
  if (all.every((estimate) => estimate.value === null)) return [];
  const cells = all.map((estimate) => bare(estimate, kind, figures));
  return [figureColumn(head, unitOf(kind, figures, WORDS.drawdowns), cells)];
}

export const volumes = (all: Estimate[], head: string, figures: Figures): Column[] =>
  estimates(all, head, volumeKind(figures), figures);

/** Costs go without their ±, which the energy beside them has. */
export function money(all: Estimate[], figures: Figures): Column[] {
  if (all.every((estimate) => estimate.value === null)) return [];
  const cells = all.map((estimate) => bareKnown(estimate, 'number', figures));
  return [figureColumn(WORDS.columns.cost, figures.currency, cells)];
}
