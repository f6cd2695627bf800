import type { DayEntry, Study } from '../../src/model/study.ts';

/** The study without the lists that have addresses of their own. */
export type Outline = Omit<Study, 'runs' | 'days' | 'draws' | 'findings'>;
export type Day = DayEntry & { open: boolean };

/** A well as the list of wells has it. */
export interface Listed {
  well: string;
  name: string | null;
  state: 'alive' | 'failed' | 'no-well-file';
  says: string | null;
  readings: number;
  first: string | null;
  last: string | null;
}
