import type { System } from './build-system.ts';
import type { FaultSpec } from './faults/faults.ts';
import type { Troubles } from './sensing/delivery.ts';
import type { Reporting } from './sensing/reporting.ts';
import type { SensingDesign } from './sensing/sensors.ts';
import type { TestAsked } from './test-keeper.ts';

/** What is to be rehearsed. */
export interface Scenario {
  system: System;
  /** IANA zone; days and draws follow its calendar. */
  timeZone: string;
  /** Unix time of a local midnight. */
  startS: number;
  days: number;
  seed: number;
  faults: FaultSpec[];
  reporting: Reporting;
  troubles: Troubles;
  /** What of the usual measuring chain is otherwise. */
  sensing: Partial<SensingDesign>;
  /** Days, counted from 0, on which the keeper makes a bucket test in the afternoon. */
  bucketDays: number[];
  /** Other tests that the keeper makes. */
  tests?: TestAsked[];
}
