import { describe, expect, it } from 'vitest';
import { buildSystem } from '../../src/simulation/build-system.ts';
import { PSI_PA } from '../../src/simulation/constants.ts';
import type { FaultSpec } from '../../src/simulation/faults/faults.ts';
import { rehearse } from '../../src/simulation/rehearse.ts';
import type { Scenario } from '../../src/simulation/scenario.ts';
import { NO_TROUBLES, type Troubles } from '../../src/simulation/sensing/delivery.ts';
import { usualReporting } from '../../src/simulation/sensing/reporting.ts';
import type { Row } from '../../src/simulation/sensing/row.ts';
import { plain } from './scenarios.ts';

function rowsOf(change: Partial<Scenario>, letter = 'B'): Row[] {
  const rows: Row[] = [];
  rehearse({ ...plain(buildSystem(letter, 2), 2), ...change }).run((row) => rows.push(row));
  return rows;
}
const withTroubles = (troubles: Partial<Troubles>, days = 1) =>
  rowsOf({ troubles: { ...NO_TROUBLES, ...troubles }, days });
const fault = (name: FaultSpec['name'], more: Partial<FaultSpec> = {}): FaultSpec => ({
  name,
  onsetDay: 0.5,
  growthDays: 0,
  ...more,
});
const NOON_S = Date.UTC(2026, 3, 6, 12) / 1000;
const median = (x: number[]) => x.toSorted((a, b) => a - b)[Math.floor(x.length / 2)]!;
const half = (rows: Row[], after: boolean) => rows.filter((r) => r.timeS > NOON_S === after);
const psi = (r: Row) => r.pressurePaGauge! / PSI_PA;
const running = (r: Row) => r.currentA! > 1;

describe('a log', () => {
  it('is the same from the same seed, and another from another', () => {
    expect(rowsOf({})).toEqual(rowsOf({}));
    expect(rowsOf({ seed: 3 })).not.toEqual(rowsOf({}));
  });
  it('does not depend on how it is asked for', () => {
    const whole = rowsOf({});
    const parts: Row[] = [];
    const { startS } = plain(buildSystem('B', 2), 2);
    const rehearsal = rehearse(plain(buildSystem('B', 2), 2));
    for (let t = startS; t < startS + 86_400; t += 3600) {
      rehearsal.runUntil(t, (row) => parts.push(row));
    }
    rehearsal.run((row) => parts.push(row));
    expect(parts.length).toBe(whole.length);
    expect(parts.at(-1)!.timeS).toBe(whole.at(-1)!.timeS);
  });
  it('has the household of the sound well when a fault is added', () => {
    const used = (faults: FaultSpec[]) => {
      const rehearsal = rehearse({ ...plain(buildSystem('B', 2), 2), faults, days: 2 });
      rehearsal.run(() => {});
      return rehearsal.plant.books.usedM3;
    };
    const loss = used([fault('current-clamp-gap')]) / used([]) - 1;
    expect(Math.abs(loss)).toBeLessThan(1e-3);
  });
});

describe('the device', () => {
  it.each([0.5, 1, 5, 15, 60])('reads each %s s the pressure that is there', (restS) => {
    const system = buildSystem('B', 2);
    const { startS } = plain(system, 2);
    const exact = {
      pressureNoisePa: 0,
      pressureOffsetPa: 0,
      pressureGain: 1,
      pressureTempcoPaPerK: 0,
      pressureStepPa: 0,
    };
    const reporting = usualReporting('fixed', restS);
    const rehearsal = rehearse({ ...plain(system, 2), days: 2, sensing: exact, reporting });
    let rows = 0;
    let first = Number.NaN;
    let last = 0;
    const misses: number[] = [];
    rehearsal.run((row) => {
      const { plant } = rehearsal;
      expect(Math.abs(row.timeS - plant.timeS)).toBeLessThan(2e-4);
      misses.push(Math.abs(row.pressurePaGauge! - plant.tee.pressurePa) / PSI_PA);
      if (rows++ === 0) first = row.timeS;
      last = row.timeS;
    });
    expect(rows).toBe((2 * 86_400) / restS);
    expect(first).toBe(startS);
    expect(last).toBe(startS + 2 * 86_400 - restS);
    // Port lag, slow drift and the ring of the pipes are a tenth of a psi, but at starts and stops.
    expect(misses.toSorted((a, b) => a - b)[Math.floor(0.98 * rows)]).toBeLessThan(0.2);
  });
  it('reports every second while the pump runs, else every five', () => {
    const rows = rowsOf({});
    const apart = (which: boolean) =>
      rows
        .slice(1)
        .flatMap((r, i) => (running(rows[i]!) === which ? [r.timeS - rows[i]!.timeS] : []));
    expect(new Set(apart(true))).toEqual(new Set([1]));
    expect(new Set(apart(false))).toEqual(new Set([5]));
  });
  it('on change, holds every value within its deadband and is never silent too long', () => {
    const reporting = { ...usualReporting('on-change', 5), deadbandPa: 0.5 * PSI_PA };
    const sent = rowsOf({ reporting });
    const every = rowsOf({ reporting: { ...usualReporting('fixed', 1) } });
    expect(sent.length).toBeLessThan(0.2 * every.length);
    const sentP = sent.filter((r) => r.pressurePaGauge !== null);
    for (let i = 1; i < sentP.length; i++) {
      expect(sentP[i]!.timeS - sentP[i - 1]!.timeS).toBeLessThanOrEqual(60);
    }
    let k = 0;
    let worst = 0;
    for (const row of every) {
      while (k + 1 < sentP.length && sentP[k + 1]!.timeS <= row.timeS) k++;
      worst = Math.max(worst, Math.abs(psi(row) - psi(sentP[k]!)));
    }
    expect(worst).toBeLessThan(0.5 + 1e-9);
  });
  it('rounds to its converter', () => {
    const rows = rowsOf({ sensing: { pressureStepPa: 0.5 * PSI_PA, currentStepA: 0.25 } });
    for (const r of rows) {
      expect(Math.abs(psi(r) * 2 - Math.round(psi(r) * 2))).toBeLessThan(1e-9);
      expect(r.currentA! * 4).toBe(Math.round(r.currentA! * 4));
    }
  });
  it('has the noise it is given', () => {
    const sd = (noisePsi: number) => {
      const quiet = { pressureNoisePa: noisePsi * PSI_PA, pressureStepPa: 0 };
      const rows = rowsOf({ sensing: quiet })
        .filter((r) => !running(r))
        .slice(0, 4000);
      const steps = rows.slice(1).map((r, i) => psi(r) - psi(rows[i]!));
      // Differences of neighbours, without the few in which someone drew.
      const kept = steps.map(Math.abs).toSorted((a, b) => a - b)[Math.floor(0.5 * steps.length)]!;
      return kept / (0.6745 * Math.SQRT2);
    };
    expect(sd(0.1)).toBeCloseTo(0.1, 1);
    expect(sd(0.4) / sd(0.1)).toBeGreaterThan(3);
  });
  it('sees the peak of a start that its own samples miss, and how long it lasted', () => {
    const rows = rowsOf({ reporting: usualReporting('fixed', 5) });
    const starts = rows.filter((r) => r.startTimeS !== null);
    expect(starts.length).toBeGreaterThan(3);
    for (const r of starts) expect(r.startTimeS).toBeLessThan(0.5);
    expect(Math.max(...rows.map((r) => r.currentPeakA!))).toBeGreaterThan(25);
  });
});

describe('the way of the rows', () => {
  const clean = rowsOf({});
  const key = (r: Row) => `${r.boot}:${r.seq}`;
  it('loses whole minutes', () => {
    const rows = withTroubles({ lostMinutes: 0.05 });
    expect(rows.length / clean.length).toBeGreaterThan(0.92);
    expect(rows.length / clean.length).toBeLessThan(0.98);
  });
  it('repeats rows, all else the same', () => {
    const rows = withTroubles({ duplicated: 0.02 });
    expect(new Set(rows.map(key)).size).toBe(clean.length);
    expect(rows.length - clean.length).toBeGreaterThan(0.01 * clean.length);
  });
  it('disorders rows, none lost', () => {
    const rows = withTroubles({ disordered: 0.02 });
    expect(rows.some((r, i) => i > 0 && r.timeS < rows[i - 1]!.timeS)).toBe(true);
    expect(rows.toSorted((a, b) => a.seq - b.seq).map((r) => r.timeS)).toEqual(
      clean.map((r) => r.timeS),
    );
  });
  it('keeps the rows of an outage and brings them later', () => {
    const rows = withTroubles({
      outagesPerDay: 4,
      outageMeanS: 1200,
      backlogRows: 1e6,
      backlogFirst: false,
    });
    expect(rows.length).toBe(clean.length);
    expect(rows.some((r, i) => i > 0 && r.timeS < rows[i - 1]!.timeS - 60)).toBe(true);
    const before = withTroubles({ outagesPerDay: 4, outageMeanS: 1200, backlogRows: 1e6 });
    expect(before.map((r) => r.timeS)).toEqual(clean.map((r) => r.timeS));
    const none = withTroubles({ outagesPerDay: 4, outageMeanS: 1200, backlogRows: 0 });
    expect(none.length).toBeLessThan(clean.length);
  });
  it('restarts the device: a new boot, rows from nought, a clock unset', () => {
    const rows = withTroubles({ resetsPerWeek: 40, clockUnsetS: 30 });
    const boots = [...new Set(rows.map((r) => r.boot))];
    expect(boots.length).toBeGreaterThan(2);
    for (const boot of boots.slice(1)) {
      const own = rows.filter((r) => r.boot === boot);
      expect(own[0]!.seq).toBe(0);
      expect(own[0]!.timeS).toBeLessThan(40);
      expect(own[0]!.uptimeS).toBeGreaterThanOrEqual(10);
    }
  });
  it('drifts with the clock, put right each day', () => {
    const rows = withTroubles({ clockDriftPpm: 50 });
    const late = rows.map((r, i) => r.timeS - clean[i]!.timeS);
    expect(Math.max(...late)).toBeCloseTo(50e-6 * 86_400, 1);
  });
});

describe('what is wrong with the sensors', () => {
  const seen = (name: FaultSpec['name'], more: Partial<FaultSpec> = {}) =>
    rowsOf({ faults: [fault(name, more)] });
  it.each([
    ['pressure-wire-open', -25, -10],
    ['pressure-wire-short', 160, 175],
  ] as const)('%s reads below or above every pressure', (name, low, high) => {
    for (const r of half(seen(name), true)) {
      expect(psi(r)).toBeGreaterThan(low);
      expect(psi(r)).toBeLessThan(high);
    }
  });
  it.each([
    ['current-clamp-gap', 0.6, 0.02],
    ['current-clipped', 0.7, 0.15],
  ] as const)('%s takes its share of the amps', (name, share, within) => {
    const rows = seen(name);
    const amps = (after: boolean) =>
      median(
        half(rows, after)
          .filter(running)
          .map((r) => r.currentA!),
      );
    expect(Math.abs(amps(true) / amps(false) - share)).toBeLessThan(within);
  });
  it('current-clamp-off shows no current while the pressure climbs', () => {
    const rows = half(seen('current-clamp-off'), true);
    expect(Math.max(...rows.map((r) => r.currentA!))).toBeLessThan(0.3);
    expect(rows.some((r, i) => i > 3 && psi(r) - psi(rows[i - 3]!) > 2)).toBe(true);
  });
  it('pressure-drift moves both switch points alike', () => {
    const rows = seen('pressure-drift');
    const ends = (after: boolean) =>
      half(rows, after)
        .filter(running)
        .map(psi)
        .toSorted((a, b) => a - b);
    const low = ends(true)[3]! - ends(false)[3]!;
    const high = ends(true).at(-4)! - ends(false).at(-4)!;
    expect(low).toBeGreaterThan(3.5);
    expect(Math.abs(low - high)).toBeLessThan(2);
  });
  it('pressure-supply-sag shows only while the pump runs', () => {
    const rows = half(seen('pressure-supply-sag'), true);
    const drops = rows.flatMap((r, i) =>
      i > 0 && running(r) && !running(rows[i - 1]!) ? [psi(r) - psi(rows[i - 1]!)] : [],
    );
    expect(median(drops)).toBeLessThan(-0.5);
  });
  it('pressure-port-plugged lags and clips the peaks', () => {
    const rows = seen('pressure-port-plugged');
    const top = (after: boolean) =>
      half(rows, after)
        .map(psi)
        .toSorted((a, b) => a - b)
        .at(-20)!;
    expect(top(false) - top(true)).toBeGreaterThan(1.5);
  });
  it('adc-stuck repeats to the last bit', () => {
    const rows = half(seen('adc-stuck'), true).slice(0, 2000);
    expect(new Set(rows.map((r) => r.pressurePaGauge)).size).toBe(1);
    expect(new Set(rows.map((r) => r.currentA)).size).toBeGreaterThan(5);
  });
  it('clock-jump goes forward an hour, and back', () => {
    const rows = rowsOf({ faults: [fault('clock-jump')] });
    const steps = rows.slice(1).map((r, i) => r.timeS - rows[i]!.timeS);
    expect(Math.max(...steps)).toBeGreaterThan(3600);
    expect(Math.min(...steps)).toBeLessThan(-3500);
  });
  it('data-gap is silent for half a day, sampling-too-slow speaks once a minute', () => {
    const gap = rowsOf({ faults: [fault('data-gap')], days: 2 });
    const steps = gap.slice(1).map((r, i) => r.timeS - gap[i]!.timeS);
    expect(Math.max(...steps)).toBeGreaterThan(11.9 * 3600);
    const slow = half(seen('sampling-too-slow'), true);
    expect(slow[10]!.timeS - slow[9]!.timeS).toBe(60);
  });
  it('water-hammer throws single readings 10 to 60 psi off', () => {
    const reporting = usualReporting('fixed', 0.5);
    const spikes = (faults: FaultSpec[]) => {
      const rows = rowsOf({ reporting, faults });
      let worst = 0;
      for (let i = 2; i < rows.length; i++) {
        const around = (psi(rows[i]!) + psi(rows[i - 2]!)) / 2;
        worst = Math.max(worst, Math.abs(psi(rows[i - 1]!) - around));
      }
      return worst;
    };
    const struck = spikes([fault('water-hammer', { onsetDay: 0 })]);
    expect(struck).toBeGreaterThan(10);
    expect(struck).toBeLessThan(60);
    expect(spikes([])).toBeLessThan(2);
  });
});
