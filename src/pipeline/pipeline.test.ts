import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Mangling, mangled } from '../../test/support/mangled.ts';
import { feed, type RehearsedLog, rehearsedLog, wellOf } from '../../test/support/rehearsed-log.ts';
import { CHANNELS } from '../model/reading.ts';
import { Pipeline } from './pipeline.ts';
import { studyOf } from './result.ts';

const NOTHING = { setAside: [], told: [] };
const LOG = rehearsedLog({ letter: 'C', days: 2, seed: 61 });
const mangling: fc.Arbitrary<Mangling> = fc.record({
  seed: fc.nat(),
  duplicated: fc.constantFrom(0, 0.01, 0.2),
  disordered: fc.constantFrom(0, 0.01, 0.2),
  lost: fc.constantFrom(0, 0.05),
  unusable: fc.constantFrom(0, 0.001, 0.05),
  gaps: fc.nat(3),
  clockSteps: fc.nat(4),
});

function lived(log: RehearsedLog, cuts: readonly number[]): Pipeline {
  let pipeline = new Pipeline(log.well);
  let from = 0;
  for (const cut of [...cuts].sort((a, b) => a - b)) {
    feed(pipeline, log, from, cut);
    pipeline = new Pipeline(log.well, pipeline.snapshot());
    from = cut;
  }
  feed(pipeline, log, from, log.timeS.length);
  pipeline.end();
  return pipeline;
}

const text = (pipeline: Pipeline): string => JSON.stringify(studyOf(pipeline, NOTHING));

describe('the pipeline on a log of every trouble', () => {
  it('gives the same study however it is cut, bit for bit', () => {
    const share = fc.double({ min: 0, max: 1, noNaN: true });
    const shares = fc.array(share, { minLength: 1, maxLength: 5 });
    fc.assert(
      fc.property(mangling, shares, (how, at) => {
        const log = mangled(LOG, how);
        const cuts = at.map((part) => Math.floor(part * log.timeS.length));
        expect(text(lived(log, cuts))).toBe(text(lived(log, [])));
      }),
      { numRuns: 8, seed: 3 },
    );
  });

  it('uses every reading or sets it aside', () => {
    fc.assert(
      fc.property(mangling, (how) => {
        const log = mangled(LOG, how);
        const pipeline = lived(log, []);
        const used = pipeline.used().reduce((sum, count) => sum + count, 0);
        const aside = pipeline.setAside().reduce((sum, { count }) => sum + count, 0);
        expect(used + aside).toBe(log.timeS.length);
        expect(used).toBeGreaterThan(0);
      }),
      { numRuns: 12, seed: 4 },
    );
  });

  it('counts raw readings that no calibration explains, across a restart too', () => {
    const raw = CHANNELS.indexOf('pressure-raw');
    const channel = LOG.channel.map((one) => (one === 0 ? raw : one));
    const value = LOG.value.map((v, i) => (channel[i] === raw ? v / 1e6 : v));
    const log = { ...LOG, channel, value };
    const pipeline = lived(log, [20_000]);
    const used = pipeline.used().reduce((sum, count) => sum + count, 0);
    const aside = pipeline.setAside().reduce((sum, { count }) => sum + count, 0);
    expect(used + aside).toBe(log.timeS.length);
    const pressures = channel.filter((one) => one === raw).length;
    expect(studyOf(pipeline, NOTHING).span.setAside['no-calibration']).toBe(pressures);
  });

  it('finds the same runs in spite of doubles and disorder', () => {
    const clean = studyOf(lived(LOG, []), NOTHING);
    const how = { lost: 0, unusable: 0, gaps: 0, clockSteps: 0 };
    const log = mangled(LOG, { ...how, seed: 9, duplicated: 0.2, disordered: 0 });
    const twice = studyOf(lived(log, []), NOTHING);
    expect(twice.span.setAside.duplicate).toBeGreaterThan(1000);
    expect({ ...twice, span: clean.span }).toEqual(clean);
  });
});

describe('a snapshot', () => {
  it('is the same after it was restored, at the very start and within an instant', () => {
    const pressureThenCurrent = LOG.timeS.findIndex((t, i) => i > 500 && LOG.timeS[i - 1] === t);
    expect(pressureThenCurrent).toBeGreaterThan(0);
    for (const cut of [0, 1, pressureThenCurrent, 20_000]) {
      const pipeline = new Pipeline(LOG.well);
      feed(pipeline, LOG, 0, cut);
      const saved = pipeline.snapshot();
      expect(new Pipeline(LOG.well, saved).snapshot()).toBe(saved);
    }
    expect(text(lived(LOG, [0, 1, pressureThenCurrent]))).toBe(text(lived(LOG, [])));
  });

  it('is not changed by what the pipeline takes afterwards', () => {
    const pipeline = new Pipeline(LOG.well);
    feed(pipeline, LOG, 0, 20_000);
    const saved = pipeline.snapshot();
    feed(pipeline, LOG, 20_000, LOG.timeS.length);
    const other = new Pipeline(LOG.well, saved);
    feed(other, LOG, 20_000, LOG.timeS.length);
    pipeline.end();
    other.end();
    expect(text(other)).toBe(text(pipeline));
  });

  it('a study made on the way leaves no trace', () => {
    const pipeline = new Pipeline(LOG.well);
    for (let at = 0; at < LOG.timeS.length; at += 5000) {
      feed(pipeline, LOG, at, Math.min(at + 5000, LOG.timeS.length));
      studyOf(pipeline, NOTHING);
    }
    pipeline.end();
    expect(text(pipeline)).toBe(text(lived(LOG, [])));
  });
});

describe('what is kept', () => {
  /** A run every ten minutes, a draw between two: forty readings each. */
  function cycles(count: number): RehearsedLog {
    const log = { ...LOG, timeS: [] as number[], channel: [] as number[], value: [] as number[] };
    const constant = 52.7 * 44;
    let gas = constant / 74.7;
    for (let t = 0; t < 600 * count; t += 15) {
      const phase = t % 600;
      const on = phase >= 300 && phase < 390;
      gas += on ? -2.1 : phase < 90 ? 2.1 : 0;
      const psi = constant / gas - 14.7 + 0.05 * Math.sin(t * 12.9898);
      log.timeS.push(1775433600 + t, 1775433600 + t);
      log.channel.push(0, 1);
      log.value.push(psi * 6894.757, on ? 8 + 0.01 * Math.sin(t) : 0.02);
    }
    return log;
  }

  /** What a snapshot holds beside the book of runs, draws and days. */
  function besides(pipeline: Pipeline): number {
    const state = JSON.parse(pipeline.snapshot());
    for (const book of ['runs', 'drawTable', 'days']) delete state.estimation[book];
    return JSON.stringify(state).length;
  }

  it('is at most 100 bytes a run and 100 a draw, and a little a day', () => {
    const pipeline = new Pipeline(wellOf('name = "Cycles"\n[tank]\nvolume = "44 gal"\n'));
    // Twice ten whole days: what is gathered through a day stands the same at both looks.
    const log = cycles(2 * 10 * 144);
    const half = log.timeS.length / 2;
    const sizes: number[] = [];
    for (const from of [0, half]) {
      feed(pipeline, log, from, from + half);
      const { runs, drawTable, days } = pipeline.estimation.state;
      expect(runs.rows).toBeGreaterThan((from + half) / 80 - 10);
      for (const table of [runs, drawTable]) {
        expect(table.rows).toBeGreaterThan(1000);
        const bytes = table.doubles.byteLength + table.singles.byteLength;
        expect(bytes / table.rows).toBeLessThanOrEqual(100);
      }
      expect(JSON.stringify(days).length / days.length).toBeLessThan(2000);
      sizes.push(besides(pipeline));
    }
    // All else stays as it was: no list that grows with the runs.
    expect(Math.abs(sizes[1]! / sizes[0]! - 1)).toBeLessThan(0.02);
  });
});
