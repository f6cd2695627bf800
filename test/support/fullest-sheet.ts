import { FAULTS } from '../../src/model/faults.ts';
import { contractorSheet } from '../../src/report/contractor/compose.ts';
import type { Sheet } from '../../src/report/contractor/sheet.ts';
import { dayOf, findingOf, runOf, studyOf, wellOf } from '../study-fixture.ts';

const HOUR_MS = 3_600_000;
const START_MS = Date.UTC(2026, 3, 6);
const at = (hours: number) => new Date(START_MS + hours * HOUR_MS).toISOString();

function fullest() {
  const runs = Array.from({ length: 300 }, (_, i) =>
    runOf({ start: at(4 * i), stop: at(4 * i + 0.03) }),
  );
  const days = Array.from({ length: 60 }, (_, i) => {
    const date = new Date(START_MS + 24 * i * HOUR_MS).toISOString().slice(0, 10);
    return dayOf({ date, pumpingLevelM: 40, pumpingLevelMStd: 3 });
  });
  const [one] = findingOf().evidence;
  const evidence = Array.from({ length: 4 }, (_, i) => ({
    ...one!,
    says: `${i} ${'word '.repeat(20)}`,
  }));
  const faults = Object.keys(FAULTS);
  const findings = Array.from({ length: 9 }, (_, i) =>
    findingOf({
      ...{
        id: `${i}`,
        fault: faults[3 * i]!,
        evidence,
        nextTest: i === 0 ? 'sounding' : 'throttle',
      },
      instead: faults.slice(10, 16).map((fault) => ({ fault, probability: 0.1 })),
      alike: { faults: [], says: 'What looks the same from here, said at some length. '.repeat(3) },
      cautions: ['mains-by-electrician', 'stay-out-of-pits', 'gas-ignition', 'tank-rating'],
    }),
  );
  const tests = Array.from({ length: 8 }, (_, i) => ({
    ...{ test: 'recovery' as const, start: at(100 * i), stop: at(100 * i + 1), unusable: null },
    found: Array.from({ length: 3 }, () => ({ what: 'level drop', value: 3, std: 1, unit: 'm' })),
    bearing: faults.slice(0, 6).map((fault, j) => ({ fault, logLikelihood: j < 2 ? 0 : -5 })),
  }));
  const point = { deliveryM3PerS: 6e-4, deliveryM3PerSStd: 1e-5, currentA: 8, currentAStd: 0.1 };
  const pump = [2e5, 3e5, 4e5].map((pressurePaGauge) => ({ pressurePaGauge, ...point }));
  const span = { ...studyOf().span, from: at(0), to: at(24 * 60) };
  return studyOf({ span, runs, days, findings, tests, pump });
}

/** The page for the contractor with as much of everything as there can be. */
export function fullestSheet(units: 'us' | 'si'): Sheet {
  const trace = (from: number) =>
    Array.from({ length: 90 }, (_, i) => ({ atS: i, value: from + i * 1000 }));
  const study = fullest();
  const traces = study.runs
    .slice(0, 10)
    .map((run) => ({ run, pressure: trace(2e5), current: trace(8) }));
  return contractorSheet({
    ...{ study, well: wellOf({ timeZone: 'UTC', units }), made: at(2000), by: 'x'.repeat(64) },
    complaint: 'The pump clicks. '.repeat(35),
    overlaid: { now: traces[9]!, past: traces.slice(0, 9) },
    data: [
      { name: `${'long-name/'.repeat(10)}log.csv`, what: 'readings', sha256: 'a'.repeat(64) },
      { name: 'well.toml', what: 'well file', sha256: 'b'.repeat(64) },
    ],
  });
}
