import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { studyLogs } from '../../src/cli/commands/study.ts';
import type { Study } from '../../src/model/study.ts';
import { evenNumbers } from '../support/numbers.ts';
import { figureOf, only } from '../support/owner-tests.ts';
import { wellOf } from '../support/rehearsed-log.ts';
import published from './published-recovery.json' with { type: 'json' };

/**
 * Published recovery tests of small boreholes, measured in the pumped borehole itself, as a keeper
 * would have made them: four days of a household, a hose at the published rate for the published
 * time, then a thin stream for two hours. `study` sees the tank tee and the amps, no level.
 *
 * What lies between the published levels is not published. It is filled in with the one law that
 * goes through all of them: inflow in proportion to drawdown, and a storage that takes what the
 * published rate left over. So the form of the curve is assumed, its times and depths are not. The
 * tests also told how far a borehole's storage may lie above its casing's, and how far capacities
 * spread: the estimator's ranges (recovery-fit.ts) are from here, what it says of each is not.
 */
type Published = (typeof published.tests)[number];

const folder = mkdtempSync(join(tmpdir(), 'wellwright-'));
afterAll(() => rmSync(folder, { recursive: true }));

const FOOT_M = 0.3048;
const GPM = 0.003785411784 / 60;
const FLOW_M3_PER_S = published.flowLPerS / 1000;
const START_S = Date.parse('2026-04-06T00:00:00Z') / 1000;
/** The draw begins after a night in which nobody used water. */
const DRAW_S = 4.3 * 86_400;
const AFTER_S = 7200;

/** The law through the published levels: specific capacity, storage and their time. */
function lawOf({ restedM, endM, afterM, pumpedMin, afterMin }: Published) {
  const drawnM = endM - restedM;
  const tauS = (60 * afterMin) / Math.log(drawnM / (afterM - restedM));
  const capacity = (FLOW_M3_PER_S / drawnM) * (1 - Math.exp((-60 * pumpedMin) / tauS));
  return { drawnM, tauS, capacity, storageM2: capacity * tauS };
}

/** Drawdown a second later. */
function step(drawdownM: number, flow: number, law: ReturnType<typeof lawOf>): number {
  return drawdownM + (flow - law.capacity * drawdownM) / law.storageM2;
}

/**
 * Delivery falls from a head at no flow with the square of flow [ft, ft/gpm2]: small multistage
 * pumps of half a horsepower for 5 and for 10 gpm (common practice); the smaller for deep levels.
 */
const SMALL = { headFt: 389, perGpm2: 4.36, ratedGpm: 5 };
const LARGE = { headFt: 242, perGpm2: 0.68, ratedGpm: 10 };
const pumpFor = ({ restedM, endM }: Published) => (endM - restedM > 15 ? SMALL : LARGE);

/** A tap opened now and then, as its flow at 50 psi [gpm]: nobody planned it. */
function household(): (timeS: number) => number {
  const random = evenNumbers(7);
  let nextS = 0;
  let untilS = 0;
  let gpm = 0;
  return (timeS) => {
    const hour = (timeS % 86_400) / 3600;
    if (timeS >= nextS && hour > 6 && hour < 23) {
      untilS = timeS + 30 + 150 * random();
      gpm = 1 + 3 * random();
      nextS = untilS + 600 + 3600 * random();
    }
    return timeS < untilS ? gpm : 0;
  };
}

/** Readings of such a house, and how deep the level was at the deepest. */
function logOf(test: Published): { rows: string[]; deepestM: number } {
  const law = lawOf(test);
  const { headFt, perGpm2 } = pumpFor(test);
  const stopS = DRAW_S + 60 * test.pumpedMin;
  const tap = household();
  // Air of 38 psi in 20 gallons; it warms as it is pressed and loses that to the room in 100 s.
  const constant = 52.7 * 20;
  let gas = constant / 74.7;
  let warm = 1;
  let on = false;
  let drawdownM = 0;
  let deepestM = 0;
  const rows: string[] = [];
  for (let t = 0; t < stopS + AFTER_S; t++) {
    const psi = (constant / gas) * warm - 14.7;
    if (!on && psi <= 40) on = true;
    else if (on && psi >= 60) on = false;
    const liftFt = (test.restedM + drawdownM) / FOOT_M + 2.31 * psi;
    const pumped = on ? Math.sqrt(Math.max(headFt - liftFt, 0) / perGpm2) : 0;
    drawdownM = step(drawdownM, pumped * GPM, law);
    deepestM = Math.max(deepestM, drawdownM);
    const hose = t < stopS ? FLOW_M3_PER_S / GPM : 0.3;
    const open = t < 4 * 86_400 ? tap(t) : t < DRAW_S ? 0 : hose;
    const leaves = (open * Math.sqrt(psi / 50) - pumped) / 60;
    warm -= (0.4 * warm * leaves) / gas + (warm - 1) / 100;
    gas += leaves;
    const noise = 0.03 * Math.sin(t * 12.9898) + 0.03 * Math.sin(t * 78.233);
    if (t % (on ? 1 : 10) === 0)
      rows.push(`${START_S + t},${(psi + noise).toFixed(3)},${on ? 5 : 0.02}`);
  }
  return { rows, deepestM };
}

const instant = (s: number): string => new Date(1000 * (START_S + s)).toISOString();

/** The well file. The household's pump hangs two metres below where the test's pump hung. */
const tomlOf = (test: Published): string => `name = "Published recovery"
time_zone = "UTC"
altitude = "0 ft"
[well]
casing = "110 mm"
static_level = { value = "${test.restedM} m", source = "measured" }
[pump]
intake_depth = "${test.intakeM + 2} m"
rated_flow = "${pumpFor(test).ratedGpm} gpm"
power = "0.5 hp"
[tank]
volume = { value = "20 gal", source = "measured" }
precharge = { value = "38 psi", source = "measured" }
[switch]
cut_in = "40 psi"
cut_out = "60 psi"
[[recovery_test]]
start = ${instant(DRAW_S)}
stop = ${instant(DRAW_S + 60 * test.pumpedMin)}
flow = "${published.flowLPerS} L/s"
`;

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
    agree('drawdown that came and went', deepestM);
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
