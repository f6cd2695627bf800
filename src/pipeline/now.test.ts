import { describe, expect, it } from 'vitest';
import { feed, rehearsedLog, studied, wellOf } from '../../test/support/rehearsed-log.ts';
import { presentState, restIntervalS, usualSilenceS } from './now.ts';
import { Pipeline } from './pipeline.ts';
import { studyOf } from './result.ts';

const LOG = rehearsedLog({ letter: 'C', days: 2, seed: 61 });
const GPM = (231 * 0.0254 ** 3) / 60;

/** How things stood all along, every `each` readings. */
function lived(log: typeof LOG, each: number): ReturnType<typeof presentState>[] {
  const pipeline = new Pipeline(log.well);
  const out = [];
  for (let at = 0; at < log.timeS.length; at += each) {
    feed(pipeline, log, at, Math.min(at + each, log.timeS.length));
    out.push(presentState(pipeline));
  }
  return out;
}

describe('how things stand', () => {
  it('shows the flow that the plant has, over quarters of an hour, as well as it says', () => {
    const all = lived(LOG, 4).filter(({ flowM3PerS }) => flowM3PerS !== null);
    const atS = all.map(({ at }) => Date.parse(at!) / 1000);
    let looked = 0;
    let off = 0;
    for (const { start, used_gpm } of LOG.truth.flows.slice(8)) {
      const fromS = Date.parse(start) / 1000;
      let flow = 0;
      let doubt = 0;
      for (const [i, one] of all.entries()) {
        // The device is faster while the pump runs: each counts for as long as it stands.
        const overlapS = Math.min(atS[i]!, fromS + 900) - Math.max(atS[i - 1] ?? atS[i]!, fromS);
        if (overlapS <= 0) continue;
        flow += (one.flowM3PerS! * overlapS) / 900;
        doubt += (one.flowM3PerSStd! * overlapS) / 900;
      }
      if (used_gpm < 0.15) continue;
      looked += 1;
      if (Math.abs(flow - used_gpm * GPM) > 2 * doubt) off += 1;
    }
    expect(looked).toBeGreaterThan(10);
    expect(off).toBe(0);
  });

  it('says pump on where the study has a run, and since when', () => {
    const { runs } = studied(LOG);
    const all = lived(LOG, 10).filter(({ at }) => at !== null);
    let looked = 0;
    for (const { at, pump } of all) {
      const run = runs.find(({ start, stop }) => start <= at! && (stop === null || at! < stop));
      const near = runs.some(({ start, stop }) =>
        [start, stop].some((edge) => Math.abs(Date.parse(edge!) - Date.parse(at!)) < 15_000),
      );
      if (near || pump.on === null) continue;
      looked += 1;
      expect(pump.on, at!).toBe(run !== undefined);
      if (run !== undefined && run.begun === 'cut-in')
        expect(Math.abs(Date.parse(pump.since!) - Date.parse(run.start))).toBeLessThan(10_000);
    }
    expect(looked).toBeGreaterThan(1000);
  });

  it('leaves no trace, and its day ends as the day of the study', () => {
    const pipeline = new Pipeline(LOG.well);
    for (let at = 0; at < LOG.timeS.length; at += 500) {
      feed(pipeline, LOG, at, Math.min(at + 500, LOG.timeS.length));
      presentState(pipeline);
    }
    const { day } = presentState(pipeline);
    pipeline.end();
    const study = studyOf(pipeline, { setAside: [], told: [] });
    expect(study).toEqual(studied(LOG));
    const last = study.days.at(-1)!;
    expect(day).toMatchObject({ date: last.date, starts: last.starts, open: true });
    expect(Math.abs(day!.usedM3! / last.usedM3! - 1)).toBeLessThan(0.03);
    expect(restIntervalS(pipeline)).toBe(5);
    expect(usualSilenceS(pipeline)).toBeLessThanOrEqual(300);
  });

  it('says what it does not know, and why', () => {
    const empty = presentState(new Pipeline(LOG.well));
    expect(empty.at).toBeNull();
    expect(empty.unknown.map(({ field }) => field)).toEqual(['at']);
    const bare = wellOf('name = "Alder barn"\n');
    const pipeline = new Pipeline(bare);
    feed(pipeline, { ...LOG, well: bare }, 0, 3000);
    const now = presentState(pipeline);
    expect(now.flowM3PerS).toBeNull();
    expect(now.unknown.map(({ field }) => field)).toContain('flowM3PerS');
    expect(now.day).toMatchObject({ usedM3: null });
    expect(now.day!.usedPerTank).toBeGreaterThanOrEqual(0);
    // Pressure alone goes on: the current of long ago says nothing.
    const blind = new Pipeline(LOG.well);
    const later = [...LOG.timeS.keys()].filter((i) => i < 6000 || LOG.channel[i] === 0);
    const pick = (list: number[]): number[] => later.map((i) => list[i]!);
    const channel = pick(LOG.channel);
    feed(blind, { ...LOG, timeS: pick(LOG.timeS), channel, value: pick(LOG.value) }, 0, 12_000);
    expect(presentState(blind).currentA).toBeNull();
    expect(presentState(blind).pressurePaGauge).toBeGreaterThan(1e5);
    expect(presentState(blind).unknown.map(({ field }) => field)).toContain('currentA');
  });
});
