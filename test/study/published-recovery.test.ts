import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { studyLogs } from '../../src/cli/commands/study.ts';
import type { Study } from '../../src/model/study.ts';
import { figureOf, only } from '../support/owner-tests.ts';
import { wellOf } from '../support/rehearsed-log.ts';
import published from './published-recovery.json' with { type: 'json' };
import { FLOW_M3_PER_S, lawOf, logOf, type Published, step, tomlOf } from './published-wells.ts';

/**
 * Published recovery tests of small boreholes, measured in the pumped borehole itself, as a keeper
 * would have made them: four days of a household, a hose at the published rate for the published
 * time, then a thin stream for two hours. `study` sees the tank tee and the amps, no level.
 *
 * What lies between the published levels is not published. It is filled in with the one law that
 * goes through all of them: inflow in proportion to drawdown, and a storage that takes what the
 * published rate left over. So the form of the curve is assumed, its times and depths are not. The
 * tests also told how far a borehole's storage may lie above its casing's, and how far capacities
 * spread: the estimator's ranges (supposed-wells.ts) are from here, what it says of each is not.
 */
const folder = mkdtempSync(join(tmpdir(), 'wellwright-'));
afterAll(() => rmSync(folder, { recursive: true }));

async function study(test: Published, rows: string[]): Promise<Study> {
  const path = join(folder, `${test.on}.csv`);
  writeFileSync(path, `time,pressure [psi],current [A]\n${rows.join('\n')}\n`);
  return studyLogs(wellOf(tomlOf(test)), [path], { columns: {}, told: [] });
}

/** What a study may differ from the publication, relative; its own uncertainty holds besides. */
const TOLERANCE = 0.25;
/** A drawdown below this is held, but not told to a quarter: its uncertainty has to say so. */
const FAINT_M = 3;

describe.each(published.tests)('the recovery test of $on', (test) => {
  const law = lawOf(test);
  it('has its published levels in the law that the log is made with', () => {
    let drawdownM = 0;
    const [stopS, endS] = [60 * test.pumpedMin, 60 * (test.pumpedMin + test.afterMin)];
    for (let t = 0; t < endS; t++) {
      if (t === stopS) expect(Math.abs(test.restedM + drawdownM - test.endM)).toBeLessThan(0.02);
      drawdownM = step(drawdownM, t < stopS ? FLOW_M3_PER_S : 0, law);
    }
    expect(Math.abs(test.restedM + drawdownM - test.afterM)).toBeLessThan(0.02);
  });

  it('is told by study as it was published', async () => {
    const { rows, deepestM } = logOf(test);
    const entry = only(await study(test, rows), 'recovery');
    expect(entry.unusable).toBeNull();
    const agree = (what: string, truth: number): number => {
      const { value, std } = figureOf(entry, what);
      expect(Math.abs(value - truth), `${what} ${value} for ${truth}`).toBeLessThan(1.96 * std!);
      if (law.drawnM < FAINT_M) expect(std! / value).toBeGreaterThan(TOLERANCE);
      else expect(Math.abs(value / truth - 1), `${what} ${value}`).toBeLessThan(TOLERANCE);
      return value;
    };
    const capacity = agree('specific capacity', law.capacity);
    const tauS = agree('time of recovery', law.tauS);
    agree('drawdown that came and went', Math.max(...deepestM));
    if ('recoveredPercent' in test) {
      const share = 100 * (1 - Math.exp((-60 * test.afterMin) / tauS));
      expect(Math.abs(share - test.recoveredPercent!)).toBeLessThan(5);
    }
    if ('dynamicM' in test) {
      const steadyM = FLOW_M3_PER_S / capacity;
      expect(Math.abs(steadyM / (test.dynamicM! - test.restedM) - 1)).toBeLessThan(TOLERANCE);
    }
  });
});
