import { URGENCIES, type Urgency } from '../model/study.ts';
import { type CaseRecord, falseIn, type Teller } from './case-record.ts';
import { poissonUpperBound } from './poisson.ts';
import { lastBelief } from './said.ts';

/** What was said of sound wells, and how often. */
export interface Healthy {
  wells: number;
  years: number;
  byUrgency: { urgency: Urgency | 'above note'; count: number; perYear: number; bound: number }[];
  byFault: [string, number][];
}

const YEAR_S = 365.25 * 86_400;
const CONFIDENCE = 0.95;

/** False findings a well-year, by urgency, with the exact upper bound of each rate. */
export function healthyOf(records: readonly CaseRecord[], teller: Teller): Healthy {
  const sound = records.filter((record) => record.faults.length === 0);
  const years = sound.reduce((sum, record) => sum + (record.untilS - record.fromS) / YEAR_S, 0);
  const all = sound.flatMap((record) => falseIn(record, teller));
  const row = (urgency: Urgency | 'above note', count: number) => ({
    urgency,
    count,
    perYear: count / years,
    bound: poissonUpperBound(count, CONFIDENCE) / years,
  });
  const of = (urgency: Urgency) => all.filter((one) => one.urgency === urgency).length;
  const faults = new Map<string, number>();
  for (const one of all) {
    const { fault } = lastBelief(one);
    faults.set(fault, (faults.get(fault) ?? 0) + 1);
  }
  return {
    wells: sound.length,
    years,
    byUrgency: [
      ...URGENCIES.map((urgency) => row(urgency, of(urgency))),
      row('above note', all.length - of('note')),
    ],
    byFault: [...faults].sort((a, b) => b[1] - a[1]),
  };
}
