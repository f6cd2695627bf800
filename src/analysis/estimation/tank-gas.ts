import { gasLogTemperatureStep } from '../../physics/tank/gas-log-temperature-step.ts';

/**
 * The air in the tank. Squeezed by a fill it warms, and gives its warmth to the wall in the
 * minutes after, so pressure falls although no water leaves. With theta the natural logarithm of
 * gas over wall temperature, the gas volume is tank constant x e^theta / P. Theta follows
 * ln P linearly (see the physics function); kappa and tau of this tank are learnt from stops
 * after which nobody drew water.
 *
 * `relativeVolume` is the gas volume in units of (tank constant / reference pressure): everything
 * in this folder that has no scale yet is in that unit.
 */
const GRID = 6;
const COARSE = 1.5;
const FINE = 1.14;
/** Quiet stops after which the grid of taus is drawn closer round the best. */
const FINE_AFTER = 8;
const KAPPA_START = 0.2857; // (gamma - 1) / gamma of air
const KAPPA_STD = 0.06;
const TAU_START_S = 75;
const LOG_TAU_STD = 0.5;
/** The step that the water hammer and the switch make is over by then. */
const SETTLED_S = 3;
const WATCHED_S = 330;
const POINTS = 72;
const KEEP = 0.985;

export interface TankGas {
  kappa: number;
  tauS: number;
  lastS: number;
  lastLogP: number;
  /** Theta over kappa, for the learnt tau and for each of the grid. */
  warmth: number;
  bank: number[];
  gridS: number[];
  /** Per grid tau: sums over quiet stops of zz, zy, yy. */
  zz: number[];
  zy: number[];
  yy: number[];
  stops: number;
  /** What a stop in progress has gathered: time, ln P, bank. */
  stopS: number;
  watched: number[];
  nextWatchS: number;
}

const gridAround = (tauS: number, ratio: number): number[] =>
  Array.from({ length: GRID }, (_, j) => tauS * ratio ** (j - (GRID - 1) / 2));

const zeros = (): number[] => new Array<number>(GRID).fill(0);

export function createTankGas(): TankGas {
  return {
    kappa: KAPPA_START,
    tauS: TAU_START_S,
    lastS: NaN,
    lastLogP: NaN,
    warmth: 0,
    bank: zeros(),
    gridS: gridAround(TAU_START_S, COARSE),
    zz: zeros(),
    zy: zeros(),
    yy: zeros(),
    stops: 0,
    stopS: NaN,
    watched: [],
    nextWatchS: NaN,
  };
}

/** Moves the gas to a new pressure [s, Pa absolute]. */
export function stepTankGas(gas: TankGas, timeS: number, pressurePa: number): void {
  const logP = Math.log(pressurePa);
  if (!Number.isNaN(gas.lastS)) {
    const delta = logP - gas.lastLogP;
    const elapsedS = timeS - gas.lastS;
    gas.warmth = gasLogTemperatureStep(gas.warmth, delta, elapsedS, 1, gas.tauS);
    for (let j = 0; j < GRID; j++)
      gas.bank[j] = gasLogTemperatureStep(gas.bank[j]!, delta, elapsedS, 1, gas.gridS[j]!);
  }
  gas.lastS = timeS;
  gas.lastLogP = logP;
  if (!Number.isNaN(gas.stopS)) watchStop(gas, timeS, logP);
}

/** e^theta: how much larger the gas is than at wall temperature. */
export function gasExpansion(gas: TankGas): number {
  return Math.exp(gas.kappa * gas.warmth);
}

/** After a gap the gas is at wall temperature as far as anyone knows. */
export function breakTankGas(gas: TankGas): void {
  gas.lastS = NaN;
  gas.warmth = 0;
  gas.bank.fill(0);
  dropStop(gas);
}

export function beginStop(gas: TankGas, timeS: number): void {
  gas.stopS = timeS;
  gas.nextWatchS = timeS + SETTLED_S;
  gas.watched.length = 0;
}

export function dropStop(gas: TankGas): void {
  gas.stopS = NaN;
  gas.watched.length = 0;
}

const WIDTH = 2 + GRID;

function watchStop(gas: TankGas, timeS: number, logP: number): void {
  if (timeS < gas.nextWatchS) return;
  const sinceS = timeS - gas.stopS;
  gas.watched.push(sinceS, logP, ...gas.bank);
  // Closer together while the gas cools fast.
  gas.nextWatchS = timeS + (sinceS < 60 ? 1.5 : 5);
  if (gas.watched.length >= POINTS * WIDTH) gas.nextWatchS = Infinity;
}

/** How long a stop is worth watching [s]. */
export function stopIsOver(gas: TankGas, timeS: number): boolean {
  return !Number.isNaN(gas.stopS) && timeS - gas.stopS > WATCHED_S;
}

/**
 * Learns from the stop that was watched, if it was quiet: with the gas and the steady loss [1/s, of
 * ln P] accounted for, ln P must be constant to within the noise [of ln P]. A draw in those
 * minutes looks like no warmth at all, or like too much.
 */
export function learnFromStop(gas: TankGas, noiseLogP: number, lossLogPerS: number): boolean {
  const points = gas.watched.length / WIDTH;
  const spanS = points > 0 ? gas.watched[(points - 1) * WIDTH]! : 0;
  const usable = points >= 8 && spanS > 100;
  const learnt = usable && accumulate(gas, points, noiseLogP, lossLogPerS);
  dropStop(gas);
  if (learnt) choose(gas, noiseLogP);
  return learnt;
}

function accumulate(gas: TankGas, points: number, noiseLogP: number, lossLogPerS: number): boolean {
  const column = (offset: number): number[] =>
    Array.from({ length: points }, (_, i) => gas.watched[i * WIDTH + offset]!);
  const sinceS = column(0);
  const y = centred(column(1).map((logP, i) => logP + lossLogPerS * sinceS[i]!));
  const yy = dot(y, y);
  const sums = gas.gridS.map((_, j) => {
    const z = centred(column(2 + j));
    return { zz: dot(z, z), zy: dot(z, y) };
  });
  const best = Math.min(...sums.map(({ zz, zy }) => (zz > 0 ? yy - (zy * zy) / zz : yy)));
  const degrees = points - 2;
  if (best / degrees > (1.4 * noiseLogP) ** 2) return false;
  sums.forEach(({ zz, zy }, j) => {
    gas.zz[j] = KEEP * gas.zz[j]! + zz;
    gas.zy[j] = KEEP * gas.zy[j]! + zy;
    gas.yy[j] = KEEP * gas.yy[j]! + yy;
  });
  gas.stops += 1;
  return true;
}

/** Kappa for each tau of the grid by least squares with its prior, then the tau that fits best. */
function choose(gas: TankGas, noiseLogP: number): void {
  const variance = 2 * noiseLogP ** 2;
  const pull = variance / KAPPA_STD ** 2;
  const kappa = gas.gridS.map((_, j) => (gas.zy[j]! + pull * KAPPA_START) / (gas.zz[j]! + pull));
  const cost = gas.gridS.map((tauS, j) => {
    const rest = gas.yy[j]! - 2 * kappa[j]! * gas.zy[j]! + kappa[j]! ** 2 * gas.zz[j]!;
    const priorKappa = ((kappa[j]! - KAPPA_START) / KAPPA_STD) ** 2;
    return rest / variance + priorKappa + (Math.log(tauS / TAU_START_S) / LOG_TAU_STD) ** 2;
  });
  const at = lowestPoint(gas.gridS.map(Math.log), cost);
  gas.tauS = Math.exp(at.x);
  const low = Math.floor(at.place);
  const high = Math.min(low + 1, kappa.length - 1);
  gas.kappa = kappa[low]! + (at.place - low) * (kappa[high]! - kappa[low]!);
  const edge = at.place < 0.6 || at.place > GRID - 1.6;
  const coarse = gas.gridS[1]! / gas.gridS[0]! > 1.3;
  if (gas.stops >= FINE_AFTER && (coarse || edge)) redrawGrid(gas);
}

/** Draws the grid closer round the tau found, and gathers evidence anew: the gas is cool now. */
function redrawGrid(gas: TankGas): void {
  gas.gridS = gridAround(gas.tauS, FINE);
  gas.bank.fill(gas.warmth);
  gas.zz = zeros();
  gas.zy = zeros();
  gas.yy = zeros();
}

/** The lowest point of a parabola through the lowest sample and its neighbours, kept inside. */
function lowestPoint(x: number[], cost: number[]): { x: number; place: number } {
  let k = 0;
  for (let j = 1; j < cost.length; j++) if (cost[j]! < cost[k]!) k = j;
  if (k === 0 || k === cost.length - 1) return { x: x[k]!, place: k };
  const bend = cost[k - 1]! - 2 * cost[k]! + cost[k + 1]!;
  const shift = bend > 0 ? (0.5 * (cost[k - 1]! - cost[k + 1]!)) / bend : 0;
  const place = k + Math.max(-0.5, Math.min(0.5, shift));
  const low = Math.floor(place);
  return { x: x[low]! + (place - low) * (x[Math.min(low + 1, x.length - 1)]! - x[low]!), place };
}

function centred(values: number[]): number[] {
  const mean = values.reduce((sum, v) => sum + v, 0) / values.length;
  return values.map((v) => v - mean);
}

const dot = (a: number[], b: number[]): number => a.reduce((sum, v, i) => sum + v * b[i]!, 0);
