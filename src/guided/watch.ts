import { PSI_PA } from '../units/table.ts';
import type { Watch } from './guides.ts';
import type { Sample, Trace } from './trace.ts';

/** What the readings show of a step. */
export interface Seen {
  isOver: boolean;
  /** From when on what it waits for has held [Unix s]; null while it does not. */
  sinceS: number | null;
  /** How long it must hold [s], or how often it must come; null where once is enough. */
  needs: number | null;
  /** How long, or how often, so far. */
  has: number;
  /** What stands in the way, where the readings tell. */
  but: 'pump-runs' | 'water-drawn' | 'above-cut-in' | 'pump-does-not-start' | null;
}

/** What is known of the well while a step is watched. */
export interface Known {
  /** When the step began [Unix s]. */
  fromS: number;
  /** The newest reading [Unix s]: a silent device shows nothing. */
  lastS: number;
  /** Amps above which the pump runs; NaN where no current tells. */
  onA: number;
  /** Pa gauge; NaN where not known. */
  cutInPaGauge: number;
  /** Noise of one pressure, standard deviation [Pa]. */
  noisePa: number;
}

/**
 * Two gallons a minute take more than this off a tank of 120 gal within half a minute, a leak of a
 * tenth of a gallon a minute takes less off one of 20 gal (Boyle's law; tested).
 */
const DRAWN_PA = 0.4 * PSI_PA;
/** A draw that has begun shows by this, s and Pa. */
const BEGUN_PA = 0.7 * PSI_PA;
const WINDOW_S = 30;
/** Readings within this are taken together against their noise, s, which is passed by so much. */
const TOGETHER_S = 10;
const NOISES = 5;
/** The air that a run has warmed cools for so long, and takes pressure off as a draw would, s. */
const COOLS_S = 150;
/** Windows hold two readings and more. */
const INTERVALS = 2.5;
/** A gauge shows nothing any more; a sensor may be off by a little and stays where it is. */
const EMPTY_PA = 2 * PSI_PA;
const NEARLY_PA = 5 * PSI_PA;
const EMPTY_STILL_S = 60;
/** The pump has given so much. */
const RISEN_PA = 3 * PSI_PA;
/** A pump whose breaker is on starts within this below cut-in. */
const STARTS_WITHIN_S = 60;
const BELOW_CUT_IN_PA = 2 * PSI_PA;

export function seenOf(watch: Watch, trace: Trace, known: Known): Seen {
  const { fromS, lastS, noisePa } = known;
  const pump = pumpOf(trace, known.onA);
  switch (watch.kind) {
    case 'hand':
      return { isOver: false, sinceS: null, needs: null, has: 0, but: null };
    case 'lasts':
      return lasting(fromS, watch.forS, lastS, null);
    case 'rest': {
      const drawnS = lastDrawnS(trace, pump, noisePa);
      const sinceS = Math.max(pump.lastOnS, drawnS, firstS(trace));
      const but = pump.isOn ? 'pump-runs' : isDrawn(drawnS, lastS) ? 'water-drawn' : null;
      return lasting(but === null ? sinceS : null, watch.forS, lastS, but);
    }
    case 'still': {
      const drawnS = lastDrawnS(trace, pump, noisePa);
      const but = isDrawn(drawnS, lastS) ? 'water-drawn' : null;
      // Water that has just begun to run is not seen to run yet: nothing of before counts.
      const sinceS = Math.max(drawnS, fromS);
      return lasting(but === null ? sinceS : null, watch.forS, lastS, but);
    }
    case 'draw': {
      const sinceS = drawBeganS(trace, fromS);
      return once(sinceS, pump.isOn ? 'pump-runs' : null);
    }
    case 'empty':
      return once(emptyS(trace, fromS), pump.isOn ? 'pump-runs' : null);
    case 'runs':
      return lasting(pump.isOn ? Math.max(pump.sinceS, fromS) : null, watch.forS, lastS, null);
    case 'fills': {
      const has = pump.stopsS.filter((stopS) => stopS > fromS).length;
      return { isOver: has >= watch.times, sinceS: null, needs: watch.times, has, but: null };
    }
    case 'full-again':
      return fullAgain(trace, known, pump);
  }
}

function lasting(sinceS: number | null, needs: number, lastS: number, but: Seen['but']): Seen {
  const has = sinceS === null ? 0 : Math.max(0, lastS - sinceS);
  return { isOver: has >= needs, sinceS, needs, has: Math.min(has, needs), but };
}

const once = (sinceS: number | null, but: Seen['but']): Seen => {
  const isOver = sinceS !== null && but === null;
  return { isOver, sinceS, needs: null, has: isOver ? 1 : 0, but };
};

interface Pump {
  isOn: boolean;
  /** Since when it is as it is. */
  sinceS: number;
  /** When it was last seen to run; before all time where never. */
  lastOnS: number;
  stopsS: number[];
}

/** By the current where it comes; else by a pressure that rises. */
function pumpOf({ pressure, current }: Trace, onA: number): Pump {
  const on =
    current.length > 0 && onA > 0
      ? current.map(({ timeS, value }) => ({ timeS, value: value > onA ? 1 : 0 }))
      : pressure.map((one) => ({
          timeS: one.timeS,
          value: one.value - atOrBefore(pressure, one.timeS - windowS(pressure)) > RISEN_PA ? 1 : 0,
        }));
  const pump: Pump = { isOn: false, sinceS: -Infinity, lastOnS: -Infinity, stopsS: [] };
  for (const { timeS, value } of on) {
    const isOn = value === 1;
    if (isOn !== pump.isOn) {
      if (!isOn) pump.stopsS.push(timeS);
      pump.isOn = isOn;
      pump.sinceS = timeS;
    }
    if (isOn) pump.lastOnS = timeS;
  }
  return pump;
}

const firstS = ({ pressure }: Trace): number => pressure[0]?.timeS ?? Infinity;

/** Place of the last sample at a time or before; of the first where none is. */
function placeOf(samples: readonly Sample[], timeS: number): number {
  let [low, high] = [0, samples.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (samples[middle]!.timeS <= timeS) low = middle + 1;
    else high = middle;
  }
  return Math.max(0, low - 1);
}

const atOrBefore = (samples: readonly Sample[], timeS: number): number =>
  samples[placeOf(samples, timeS)]?.value ?? NaN;

/** Long enough for two readings and more at the usual pace. */
function windowS(samples: readonly Sample[]): number {
  const gaps = samples.slice(-20).map((one, i, all) => one.timeS - (all[i - 1]?.timeS ?? NaN));
  const known = gaps.filter((gap) => gap > 0).sort((a, b) => a - b);
  return Math.max(WINDOW_S, INTERVALS * (known[known.length >> 1] ?? 0));
}

/** When the pressure last fell as it does while water is drawn; before all time where never. */
function lastDrawnS({ pressure }: Trace, { stopsS }: Pump, noisePa: number): number {
  const spanS = windowS(pressure);
  for (let i = pressure.length - 1; i > 0; i--) {
    const { timeS } = pressure[i]!;
    if (stopsS.some((stopS) => timeS >= stopS && timeS < stopS + COOLS_S)) continue;
    const [now, before] = [meanAt(pressure, timeS), meanAt(pressure, timeS - spanS)];
    const doubt = NOISES * noisePa * Math.sqrt(1 / now.count + 1 / before.count);
    if (before.value - now.value > Math.max(DRAWN_PA, doubt)) return timeS;
  }
  return -Infinity;
}

/** The mean of the readings of the last ten seconds before a time, one at least. */
function meanAt(samples: readonly Sample[], timeS: number): { value: number; count: number } {
  const last = placeOf(samples, timeS);
  let [sum, count] = [0, 0];
  for (let i = last; i >= 0; i--) {
    if (count > 0 && samples[i]!.timeS <= timeS - TOGETHER_S) break;
    sum += samples[i]!.value;
    count += 1;
  }
  return { value: sum / count, count };
}

const isDrawn = (drawnS: number, lastS: number): boolean => lastS - drawnS < 1;

/** The last moment at which the pressure stood as before, once it has fallen since `fromS`. */
function drawBeganS({ pressure }: Trace, fromS: number): number | null {
  const before = pressure.filter(({ timeS }) => timeS <= fromS && timeS > fromS - 2 * WINDOW_S);
  const after = pressure.filter(({ timeS }) => timeS > fromS);
  const start = before.length > 0 ? before : after.slice(0, 1);
  const basePa = start.reduce((sum, { value }) => sum + value, 0) / start.length;
  const fallen = after.find(({ value }) => value < basePa - BEGUN_PA);
  if (fallen === undefined) return null;
  const stood = after.findLast(
    ({ timeS, value }) => timeS < fallen.timeS && value > basePa - DRAWN_PA / 2,
  );
  return stood?.timeS ?? fromS;
}

function emptyS({ pressure }: Trace, fromS: number): number | null {
  const last = pressure.at(-1);
  if (last === undefined || last.timeS < fromS) return null;
  if (last.value < EMPTY_PA) return last.timeS;
  const stayed = last.value > atOrBefore(pressure, last.timeS - EMPTY_STILL_S) - DRAWN_PA / 2;
  return last.value < NEARLY_PA && stayed ? last.timeS : null;
}

function fullAgain({ pressure }: Trace, known: Known, pump: Pump): Seen {
  const { fromS, lastS, cutInPaGauge } = known;
  const last = pressure.at(-1)?.value ?? NaN;
  const hasRun = pump.lastOnS > fromS;
  const lowest = pressure.reduce(
    (least, { timeS, value }) => (timeS >= fromS && value < least ? value : least),
    Infinity,
  );
  const hasRisen = last > lowest + RISEN_PA;
  if (hasRun && !pump.isOn && hasRisen) return once(pump.sinceS, null);
  if (hasRun) return once(null, pump.isOn ? 'pump-runs' : null);
  if (last > cutInPaGauge) return once(null, 'above-cut-in');
  const waits = last < cutInPaGauge - BELOW_CUT_IN_PA && lastS - fromS > STARTS_WITHIN_S;
  return once(null, waits ? 'pump-does-not-start' : null);
}
