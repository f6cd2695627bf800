/**
 * Cuts use into draws. At rest a draw is seen as gas volume that grows beyond noise and steady
 * loss; while the pump runs, draws come from the openings of the run's balance. Pieces that touch
 * are one draw. Volumes are in reference units.
 */
export interface DrawPiece {
  startS: number;
  stopS: number;
  volume: number;
  variance: number;
  peakPerMin: number;
}

export interface Draws {
  /** Gas volume less loss while nobody draws, and since when. */
  base: number;
  baseS: number;
  lowS: number;
  lastS: number;
  above: number;
  open: boolean;
  startS: number;
  top: number;
  topS: number;
  peak: number;
  markS: number;
  markVolume: number;
  /** Pieces not yet out of reach of later ones, in order of start. */
  recent: DrawPiece[];
}

const TOUCH_S = 6;
/** A balance comes this much after its run at the latest; older pieces are final. */
const FINAL_S = 900;
const QUIET_S = 20;
const PEAK_S = 10;

export function createDraws(): Draws {
  return {
    base: NaN,
    baseS: NaN,
    lowS: NaN,
    lastS: NaN,
    above: 0,
    open: false,
    startS: NaN,
    top: NaN,
    topS: NaN,
    peak: 0,
    markS: NaN,
    markVolume: NaN,
    recent: [],
  };
}

export interface DrawReading {
  timeS: number;
  volume: number;
  std: number;
  /** Steady loss now, reference units a minute. */
  lossPerMin: number;
  sinceStopS: number;
}

/** Takes one reading at rest. */
export function stepDraws(draws: Draws, reading: DrawReading): void {
  if (Number.isNaN(draws.base)) {
    restAt(draws, reading.timeS, reading.volume);
    return;
  }
  const lost = (reading.lossPerMin * (reading.timeS - draws.baseS)) / 60;
  const net = reading.volume - lost;
  // The gas correction is least sure in the first minutes after a stop.
  const warmth = reading.sinceStopS < 900 ? 0.002 * Math.exp(-reading.sinceStopS / 150) : 0;
  const sill = 4 * reading.std + 0.0006 + warmth;
  if (draws.open) followDraw(draws, reading, net);
  else waitForDraw(draws, reading, net, sill);
  draws.lastS = reading.timeS;
}

function restAt(draws: Draws, timeS: number, volume: number): void {
  draws.base = volume;
  draws.baseS = timeS;
  draws.lowS = timeS;
  draws.above = 0;
  draws.open = false;
}

function waitForDraw(draws: Draws, reading: DrawReading, net: number, sill: number): void {
  const rise = net - draws.base;
  if (rise > sill) {
    draws.above += 1;
    if (draws.above === 1) {
      draws.startS = draws.lowS;
      draws.markS = draws.lowS;
      draws.markVolume = draws.base;
      draws.peak = 0;
    }
    notePeak(draws, reading.timeS, net);
    if (draws.above < 2 && rise < 3 * sill) return;
    draws.open = true;
    draws.top = net;
    draws.topS = reading.timeS;
    return;
  }
  draws.above = 0;
  draws.lowS = reading.timeS;
  // Slow errors of the correction and the loss are followed, so that they never add up to a draw.
  draws.base = rise < 0 ? draws.base + 0.3 * rise : draws.base + 0.08 * rise;
  const drift = (reading.lossPerMin * (reading.timeS - draws.baseS)) / 60;
  draws.base += drift;
  draws.baseS = reading.timeS;
}

function followDraw(draws: Draws, reading: DrawReading, net: number): void {
  notePeak(draws, reading.timeS, net);
  if (net > draws.top + 1.5 * reading.std) {
    draws.top = net;
    draws.topS = reading.timeS;
    return;
  }
  const quietS = Math.max(QUIET_S, 2.2 * (reading.timeS - draws.lastS));
  if (reading.timeS - draws.topS < quietS) return;
  endDraw(draws, reading.std);
  restAt(draws, reading.timeS, reading.volume);
}

function notePeak(draws: Draws, timeS: number, net: number): void {
  const elapsedS = timeS - draws.markS;
  if (elapsedS < PEAK_S) return;
  draws.peak = Math.max(draws.peak, ((net - draws.markVolume) / elapsedS) * 60);
  draws.markS = timeS;
  draws.markVolume = net;
}

function endDraw(draws: Draws, std: number): void {
  const volume = draws.top - draws.base;
  const meanPerMin = (volume / Math.max(draws.topS - draws.startS, 1)) * 60;
  addPiece(draws, {
    startS: draws.startS,
    stopS: Math.max(draws.topS, draws.startS + 1),
    volume,
    variance: 2 * std * std,
    peakPerMin: Math.max(draws.peak, meanPerMin),
  });
}

/** The rest ends (a run, a gap): an open draw is counted up to here. */
export function breakDraws(draws: Draws, std: number): void {
  if (draws.open) endDraw(draws, std);
  draws.base = NaN;
  draws.open = false;
  draws.above = 0;
}

/** Adds a piece in its place and joins it with those it touches. */
export function addPiece(draws: Draws, piece: DrawPiece): void {
  const { recent } = draws;
  let at = recent.length;
  while (at > 0 && recent[at - 1]!.startS > piece.startS) at -= 1;
  recent.splice(at, 0, piece);
  for (let k = Math.max(at - 1, 0); k + 1 < recent.length; ) {
    const a = recent[k]!;
    const b = recent[k + 1]!;
    if (b.startS - a.stopS > TOUCH_S) {
      k += 1;
      continue;
    }
    a.stopS = Math.max(a.stopS, b.stopS);
    a.volume += b.volume;
    a.variance += b.variance;
    a.peakPerMin = Math.max(a.peakPerMin, b.peakPerMin);
    recent.splice(k + 1, 1);
  }
}

/** Takes the pieces that nothing later can touch; all of them at the end. */
export function takeFinal(draws: Draws, nowS: number): DrawPiece[] {
  let n = 0;
  while (n < draws.recent.length && nowS - draws.recent[n]!.stopS > FINAL_S) n += 1;
  return draws.recent.splice(0, n);
}
