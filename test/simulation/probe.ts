import { buildSystem } from '../../src/simulation/build-system.ts';
import { GPM_M3_PER_S, PSI_PA } from '../../src/simulation/constants.ts';
import { sound } from '../../src/simulation/faults/condition.ts';
import { applyFaults, type FaultSpec } from '../../src/simulation/faults/faults.ts';
import { Taps } from '../../src/simulation/household/taps.ts';
import type { PlantDesign } from '../../src/simulation/plant/design.ts';
import { Plant } from '../../src/simulation/plant/plant.ts';
import { StartClock } from '../../src/simulation/sensing/start-clock.ts';

/** What one and the same round of use shows of a system, without sensors between. */
export interface Signs {
  /**
   * Pressure at which the pump started and the highest of the run, psi; null where it never did.
   */
  cutIn: number | null;
  lowest: number;
  highest: number;
  /** Whether the fill without use ended by itself. */
  stopped: boolean;
  /** Rise in the middle of the fill without use, psi/s, and over its first second or two. */
  fill: number | null;
  /** Seconds from start of the motor to half a psi of rise. */
  lateS: number | null;
  /** Fall at rest, 5 to 10 minutes after the stop, house closed, psi/min. */
  rest: number;
  /** Fall under a draw of 1 gpm from rest, psi/min. */
  restPerGpm: number;
  /** Amps in the middle of the band, or over the last minute of a run that does not get there. */
  amps: number | null;
  ampsPer10Psi: number | null;
  ampsNoise: number | null;
  runS: number;
  /** Starts in an hour with a tap at a third of rated flow, and with none open. */
  startsInUse: number;
  startsIdle: number;
  startS: number | null;
  /** Delivery in the middle of the band, gpm. */
  delivery: number | null;
  /** Fall in the minute after the stop, house closed, psi/min. */
  fallAfterStop: number;
  /** Lowest round a start under a tap at rated flow, psi. */
  lowestHard: number;
  /** Half an hour with a tap that takes what the sound pump gives in the middle of the band. */
  long: {
    delivered: number;
    amps: number;
    noise: number;
    lowest: number;
    highest: number;
    starts: number;
  };
  highestAmps: number;
}

interface Sample {
  t: number;
  psi: number;
  amps: number;
  gpm: number;
}

/** 2026-01-12, a Monday. */
const MIDNIGHT_S = Date.UTC(2026, 0, 12) / 1000;

/** One system with its faults fully grown, driven by hand. */
class Probe {
  readonly plant: Plant;
  readonly #taps = new Taps();
  readonly #faults: FaultSpec[];
  readonly #clock = new StartClock();
  readonly starts: number[] = [];
  startTimes: number[] = [];

  readonly #startS: number;

  constructor(
    of: { letter: string; faults: FaultSpec[]; startHour: number },
    change: Partial<PlantDesign> = {},
  ) {
    const seed = 1;
    const design = { ...buildSystem(of.letter, seed).design, ...change };
    this.#startS = MIDNIGHT_S + of.startHour * 3600;
    this.#faults = of.faults;
    this.plant = new Plant(design, this.#taps, {
      startS: this.#startS,
      offsetS: 0,
      seed,
    });
    this.#condition();
  }

  #condition(): void {
    const { plant } = this;
    plant.condition = sound();
    // An onset at the start of the probe: faults that come and go are in their first hours.
    const at = { design: plant.design, startS: this.#startS, timeS: plant.timeS };
    applyFaults(plant.condition, this.#faults, at);
  }

  tap(gpm: number): void {
    this.#taps.conductance = (gpm * GPM_M3_PER_S) / Math.sqrt(50 * PSI_PA);
  }

  /** Runs until `done` or for `atMostS`; true where `done` came. */
  until(atMostS: number, done: (s: Sample) => boolean, seen?: (s: Sample) => void): boolean {
    const { plant } = this;
    const endS = plant.timeS + atMostS;
    while (plant.timeS < endS) {
      this.#condition();
      const ran = plant.running;
      const dt = Math.min(plant.longestStepS(2), endS - plant.timeS + 1e-9);
      plant.step(dt);
      this.#clock.follow(plant.drive.electric.currentA, dt);
      const started = this.#clock.take();
      if (started !== null) this.startTimes.push(started);
      if (plant.running && !ran) this.starts.push(plant.timeS);
      const sample = {
        t: plant.timeS,
        psi: plant.tee.pressurePa / PSI_PA,
        amps: plant.drive.electric.currentA,
        gpm: plant.riser.pumpM3PerS / GPM_M3_PER_S,
      };
      seen?.(sample);
      if (done(sample)) return true;
    }
    return false;
  }

  pass(s: number, seen?: (s: Sample) => void): void {
    this.until(s, () => false, seen);
  }
}

const mean = (x: number[]) => x.reduce((s, v) => s + v, 0) / x.length;

/** Straight line through points, and the scatter round it. */
function line(points: [number, number][]): { slope: number; scatter: number } {
  const mx = mean(points.map((p) => p[0]));
  const my = mean(points.map((p) => p[1]));
  const sxx = points.reduce((s, [x]) => s + (x - mx) ** 2, 0);
  const slope = points.reduce((s, [x, y]) => s + (x - mx) * (y - my), 0) / sxx;
  const rest = points.map(([x, y]) => y - my - slope * (x - mx));
  return { slope, scatter: Math.sqrt(mean(rest.map((r) => r * r))) };
}

/** A fill without use: a tap brings the pump on and is closed. */
function fillOnce(probe: Probe): { samples: Sample[]; cutIn: number | null; stopped: boolean } {
  probe.tap(3);
  let cutIn: number | null = null;
  const started = probe.until(1800, (s) => {
    if (s.amps > 0) cutIn = s.psi;
    return s.amps > 0;
  });
  probe.tap(0);
  const samples: Sample[] = [];
  if (!started) return { samples, cutIn, stopped: false };
  const stopped = probe.until(
    1500,
    (s) => s.amps === 0,
    (s) => samples.push(s),
  );
  return { samples, cutIn, stopped };
}

function settled(samples: Sample[], low: number, high: number): Sample[] {
  const from = samples[0]?.t ?? 0;
  const inBand = samples.filter((s) => s.t > from + 3 && s.psi > low && s.psi < high);
  return inBand.length > 5
    ? inBand
    : samples.filter((s) => s.t > from + 3 && s.amps > 0).slice(-60);
}

/** The whole round; `startHour` places it in the day for what comes and goes by the clock. */
export function signsOf(letter: string, faults: FaultSpec[], startHour = 0): Signs {
  const of = { letter, faults, startHour };
  const probe = new Probe(of);
  const { design } = probe.plant;
  const band = { low: design.cutInPaGauge / PSI_PA, high: design.cutOutPaGauge / PSI_PA };
  const middle = (share: number) => band.low + share * (band.high - band.low);
  probe.pass(4 * 3600);
  fillOnce(probe);
  probe.pass(1200);
  const pumpWasOff = !probe.plant.running;
  const { samples, cutIn, stopped } = fillOnce(probe);
  const rest: [number, number][] = [];
  const fallAfterStop: [number, number][] = [];
  probe.until(
    60,
    (s) => s.amps > 0,
    (s) => fallAfterStop.push([s.t / 60, s.psi]),
  );
  probe.pass(240);
  const restStarts = probe.starts.length;
  probe.pass(300, (s) => rest.push([s.t / 60, s.psi]));
  const restClean = probe.starts.length === restStarts && !probe.plant.running;
  const draw: [number, number][] = [];
  probe.tap(1);
  probe.until(
    90,
    (s) => s.psi < band.low + 1 || s.amps > 0,
    (s) => draw.push([s.t / 60, s.psi]),
  );
  const idle = probe.starts.length;
  probe.tap(0);
  probe.pass(IDLE_HOURS * 3600);
  const use = probe.starts.length;
  const rated = design.pump.ratedFlowM3PerS / GPM_M3_PER_S;
  probe.tap(rated * 0.33);
  probe.pass(3600);
  const end = probe.starts.length;
  return {
    ...fromFill(samples, middle),
    cutIn: pumpWasOff ? cutIn : null,
    stopped,
    fallAfterStop: fallAfterStop.length > 5 ? -line(fallAfterStop).slope : Number.NaN,
    rest: restClean ? -line(rest).slope : Number.NaN,
    restPerGpm: draw.length > 3 ? -line(draw).slope : Number.NaN,
    startsIdle: (use - idle) / IDLE_HOURS,
    startsInUse: end - use,
    lowestHard: hardStart(probe, rated),
    startS: middleOf(probe.startTimes.filter((s) => s > 0 && s < 2.9)),
    long: longDraw(probe, rated),
  };
}

const IDLE_HOURS = 5;

function middleOf(values: number[]): number | null {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? null;
}

function hardStart(probe: Probe, rated: number): number {
  probe.tap(0);
  probe.until(900, (s) => s.amps === 0);
  probe.pass(30);
  probe.tap(rated);
  let lowest = Number.POSITIVE_INFINITY;
  const watch = (s: Sample) => {
    lowest = Math.min(lowest, s.psi);
  };
  probe.until(900, (s) => s.amps > 0, watch);
  probe.pass(5, watch);
  return lowest;
}

function longDraw(probe: Probe, rated: number): Signs['long'] {
  const { design } = probe.plant;
  const middlePsi = (design.cutInPaGauge + design.cutOutPaGauge) / 2 / PSI_PA;
  probe.tap(rated * Math.sqrt(50 / middlePsi));
  const before = probe.starts.length;
  const running: Sample[] = [];
  const fromM3 = probe.plant.books.pumpedM3;
  let lowest = Number.POSITIVE_INFINITY;
  let highest = 0;
  probe.pass(1800, (s) => {
    if (s.amps > 0) running.push(s);
    lowest = Math.min(lowest, s.psi);
    highest = Math.max(highest, s.psi);
  });
  const last = running.slice(-200);
  const noise = last.length > 20 ? line(last.map((s) => [s.t, s.amps])).scatter : Number.NaN;
  return {
    delivered: (probe.plant.books.pumpedM3 - fromM3) / GPM_M3_PER_S / 1800,
    amps: mean(last.map((s) => s.amps)),
    noise,
    lowest,
    highest,
    starts: probe.starts.length - before,
  };
}

/** With no relief valve and no cut-out: where the pressure ends, psi, and the amps there. */
export function shutOffOf(letter: string, faults: FaultSpec[]): { psi: number; amps: number } {
  const free = { cutOutPaGauge: 1e7, reliefPaGauge: 1e7, switchScatterPa: 0 };
  const probe = new Probe({ letter, faults, startHour: 0 }, free);
  probe.pass(3600);
  probe.tap(3);
  probe.until(3600, (s) => s.amps > 0);
  probe.tap(0);
  const samples: Sample[] = [];
  probe.until(
    5400,
    (s) => s.amps === 0,
    (s) => samples.push(s),
  );
  const last = samples.slice(-30);
  return { psi: mean(last.map((s) => s.psi)), amps: mean(last.map((s) => s.amps)) };
}

function fromFill(samples: Sample[], middle: (share: number) => number) {
  const none = { fill: null, lateS: null, amps: null, ampsPer10Psi: null, ampsNoise: null };
  const lowest = Math.min(...samples.map((s) => s.psi));
  const first = samples[0];
  const last = samples.at(-1);
  if (first === undefined || last === undefined) {
    return {
      ...none,
      delivery: null,
      lowest: Number.NaN,
      highest: Number.NaN,
      runS: 0,
      highestAmps: 0,
    };
  }
  const mid = settled(samples, middle(0.3), middle(0.7));
  const amps = mid.map((s): [number, number] => [s.psi, s.amps]);
  const long = settled(samples, middle(0.15), middle(0.85)).map((s): [number, number] => [
    s.psi,
    s.amps,
  ]);
  const risen = samples.find((s) => s.psi > first.psi + 0.5);
  const byTime = line(mid.map((s) => [s.t, s.amps]));
  return {
    fill: mid.length > 3 ? line(mid.map((s) => [s.t, s.psi])).slope : null,
    lateS: risen === undefined ? null : risen.t - first.t,
    amps: amps.length > 0 ? mean(amps.map((a) => a[1])) : null,
    ampsPer10Psi: long.length > 5 ? 10 * line(long).slope : null,
    ampsNoise: amps.length > 5 ? byTime.scatter : null,
    delivery: mid.length > 0 ? mean(mid.map((s) => s.gpm)) : null,
    lowest,
    highest: Math.max(...samples.map((s) => s.psi)),
    runS: last.t - first.t,
    highestAmps: Math.max(...samples.map((s) => s.amps)),
  };
}
