import type { System } from '../../src/simulation/build-system.ts';
import type { Scenario } from '../../src/simulation/scenario.ts';
import { NO_TROUBLES } from '../../src/simulation/sensing/delivery.ts';
import { usualReporting } from '../../src/simulation/sensing/reporting.ts';

/** A sound system with a device that loses nothing: what a test then changes. */
export function plain(system: System, seed: number): Scenario {
  return {
    system,
    timeZone: 'UTC',
    startS: Date.UTC(2026, 3, 6) / 1000,
    days: 1,
    seed,
    faults: [],
    reporting: usualReporting('fast-while-running', 5),
    troubles: NO_TROUBLES,
    sensing: {},
    bucketDays: [],
  };
}
