import { buildSystem } from '../../src/simulation/build-system.ts';
import type { RehearsedFault } from '../../src/simulation/faults/faults.ts';
import { rehearse } from '../../src/simulation/rehearse.ts';
import { NO_TROUBLES, USUAL_TROUBLES } from '../../src/simulation/sensing/delivery.ts';
import { type Reporting, usualReporting } from '../../src/simulation/sensing/reporting.ts';
import { wellFileText } from '../../src/simulation/well-file-text.ts';
import type { Truth } from './compare.ts';
import { GatheredLog } from './gathered-log.ts';

const PSI_PA = 6894.757293168;
const DAYS = 14;
const BUCKET_DAY = 2;
/** The sick wells are sound at first: six days to learn from, eight that are sick. */
const ONSET_DAY = 6;

export interface Way {
  fault: RehearsedFault | null;
  restS: number;
  policy: Reporting['policy'];
  messy: boolean;
}

export interface MadeLog {
  log: GatheredLog;
  toml: string;
  truth: Truth;
}

/** Two weeks of a rehearsed well, with its well file and its truth. */
export function rehearsedWell(letter: string, seed: number, way: Way): MadeLog {
  const system = buildSystem(letter, seed);
  const reporting = usualReporting(way.policy, way.restS);
  const rehearsal = rehearse({
    system,
    startS: Date.parse('2026-04-06T00:00:00Z') / 1000,
    timeZone: 'UTC',
    troubles: way.messy ? USUAL_TROUBLES : NO_TROUBLES,
    sensing: {},
    days: DAYS,
    seed,
    faults: way.fault === null ? [] : [{ name: way.fault, onsetDay: ONSET_DAY, severity: 1 }],
    reporting,
    bucketDays: [BUCKET_DAY],
  });
  const log = new GatheredLog();
  rehearsal.run(({ timeS, pressurePaGauge, currentA }) => {
    if (pressurePaGauge !== null) log.pressure(timeS, pressurePaGauge / PSI_PA);
    if (currentA !== null) log.current(timeS, currentA);
  });
  const toml = wellFileText({
    name: `Case ${letter}`,
    system,
    seed,
    timeZone: 'UTC',
    buckets: rehearsal.buckets(),
    services: [],
    reporting,
  });
  return { log, toml, truth: rehearsal.truth() };
}
