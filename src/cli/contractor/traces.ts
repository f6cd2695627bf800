import { CalibrationStage } from '../../analysis/calibration/calibration.ts';
import { CHANNELS, type ReadingBatch } from '../../model/reading.ts';
import type { RunEntry } from '../../model/study.ts';
import type { Well } from '../../model/well.ts';
import type { Overlaid, RunTrace } from '../../report/contractor/charts.ts';
import { traceOf } from '../../report/normal-run.ts';

/** A device that reports on change may have spoken last so long before, s. */
const BEFORE_S = 150;
const AFTER_S = 6;
/** Of a longer run its beginning is laid over the others. */
const LONGEST_S = 3600;

interface Window {
  run: RunEntry;
  fromS: number;
  toS: number;
  startS: number;
  points: Record<'pressure' | 'current', { timeS: number; value: number }[]>;
}

/** Readings round some runs, through the calibration in force, from batches in order of time. */
export class Traces {
  readonly #calibration: CalibrationStage;
  readonly #windows: Window[];

  constructor(well: Well, runs: readonly RunEntry[]) {
    this.#calibration = new CalibrationStage(well.calibrations);
    this.#windows = runs.map((run) => {
      const startS = Date.parse(run.start) / 1000;
      const stopS = run.stop === null ? startS : Date.parse(run.stop) / 1000;
      const toS = Math.min(stopS + AFTER_S, startS + LONGEST_S);
      const points = { pressure: [], current: [] };
      return { run, startS, fromS: startS - BEFORE_S, toS, points };
    });
  }

  /** Where readings are needed from, by time; none overlaps another. */
  get spans(): { fromS: number; toS: number }[] {
    const spans: { fromS: number; toS: number }[] = [];
    for (const { fromS, toS } of this.#windows.toSorted((a, b) => a.fromS - b.fromS)) {
      const last = spans.at(-1);
      if (last === undefined || fromS > last.toS) spans.push({ fromS, toS });
      else last.toS = Math.max(last.toS, toS);
    }
    return spans;
  }

  take({ count, timeS, channel, value }: ReadingBatch): void {
    for (let i = 0; i < count; i++) {
      const t = timeS[i]!;
      for (const { fromS, toS, points } of this.#windows) {
        if (t < fromS || t > toS) continue;
        this.#calibration.step(t, channel[i]!, value[i]!, {
          reading: (at, number, found) => {
            const name = CHANNELS[number];
            if (name === 'pressure' || name === 'current')
              points[name].push({ timeS: at, value: found });
          },
          noCalibration: () => undefined,
        });
      }
    }
  }

  overlaid(now: RunEntry | null): Overlaid {
    const traces = this.#windows.map(({ run, startS, points }): RunTrace => {
      const of = (name: 'pressure' | 'current') =>
        traceOf(
          points[name].map(({ timeS, value }) => ({ fromS: timeS, toS: timeS, mean: value })),
          startS,
          name === 'current',
        );
      return { run, pressure: of('pressure'), current: of('current') };
    });
    return {
      now: traces.find(({ run }) => run === now) ?? null,
      past: traces.filter(({ run }) => run !== now),
    };
  }
}
