import { gasLogTemperatureStep } from '../../physics/tank/gas-log-temperature-step.ts';

/**
 * The air in the tank. Squeezed by a fill it warms, and gives its warmth to the wall in the
 * minutes after, so pressure falls although no water leaves. With theta the natural logarithm of
 * gas over wall temperature, the gas volume is tank constant x e^theta / P.
 *
 * A gas whose heat transfer is in proportion to its warmth follows ln P through one linear filter.
 * A real one gives off heat faster while it is warmest and the wall warms a little too, so a few
 * such filters of fixed time constants stand side by side, and their shares are learnt from stops
 * after which nobody drew water.
 *
 * `relativeVolume` is the gas volume in units of (tank constant / reference pressure): everything
 * in this folder that has no scale yet is in that unit.
 */
const TAUS_S = [10, 18, 32, 57, 100, 180];
const GRID = TAUS_S.length;
/** Air, (gamma - 1) / gamma = 0.286, cooling in some 75 s: what a tank is taken for at first. */
const SHARES_START = [0, 0, 0.03, 0.146, 0.11, 0];
/** A quick share is easily taken for a step, so little is given to it without good evidence. */
const SHARE_STD = [0.02, 0.03, 0.08, 0.12, 0.12, 0.05];
/** The step that the water hammer and the switch make is over by then. */
const SETTLED_S = 3;
const WATCHED_S = 330;
const POINTS = 72;
const KEEP = 0.985;

export interface TankGas {
  /** Share of each filter, and what they come to: sum, and time constant in the geometric mean. */
  shares: number[];
  kappa: number;
  tauS: number;
  lastS: number;
  lastLogP: number;
  /** Each filter's response to ln P. */
  bank: number[];
  /** Sums over quiet stops: products of the bank's columns (row by row), and with ln P. */
  zz: number[];
  zy: number[];
  stops: number;
  /** What a stop in progress has gathered: time, ln P, bank. */
  stopS: number;
  watched: number[];
  nextWatchS: number;
}

const zeros = (n: number): number[] => new Array<number>(n).fill(0);

export function createTankGas(): TankGas {
  return {
    shares: SHARES_START.slice(),
    ...summary(SHARES_START),
    lastS: NaN,
    lastLogP: NaN,
    bank: zeros(GRID),
    zz: zeros(GRID * GRID),
    zy: zeros(GRID),
    stops: 0,
    stopS: NaN,
    watched: [],
    nextWatchS: NaN,
  };
}

function summary(shares: number[]): { kappa: number; tauS: number } {
  const kappa = shares.reduce((sum, share) => sum + share, 0);
  const logTau = shares.reduce((sum, share, j) => sum + share * Math.log(TAUS_S[j]!), 0);
  return { kappa, tauS: kappa > 0 ? Math.exp(logTau / kappa) : TAUS_S[0]! };
}

/** Moves the gas to a new pressure [s, Pa absolute]. */
export function stepTankGas(gas: TankGas, timeS: number, pressurePa: number): void {
  const logP = Math.log(pressurePa);
  if (!Number.isNaN(gas.lastS)) {
    const delta = logP - gas.lastLogP;
    const elapsedS = timeS - gas.lastS;
    for (let j = 0; j < GRID; j++)
      gas.bank[j] = gasLogTemperatureStep(gas.bank[j]!, delta, elapsedS, 1, TAUS_S[j]!);
  }
  gas.lastS = timeS;
  gas.lastLogP = logP;
  if (!Number.isNaN(gas.stopS)) watchStop(gas, timeS, logP);
}

/** e^theta: how much larger the gas is than at wall temperature. */
export function gasExpansion(gas: TankGas): number {
  let theta = 0;
  for (let j = 0; j < GRID; j++) theta += gas.shares[j]! * gas.bank[j]!;
  return Math.exp(theta);
}

/** After a gap the gas is at wall temperature as far as anyone knows. */
export function breakTankGas(gas: TankGas): void {
  gas.lastS = NaN;
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
  const usable = points >= 6 && spanS > 100;
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
  const z = TAUS_S.map((_, j) => centred(column(2 + j)));
  const zz = z.flatMap((a) => z.map((b) => dot(a, b)));
  const zy = z.map((a) => dot(a, y));
  const own = fitShares(zz, zy, noiseLogP);
  const rest = y.map((v, i) => v - own.reduce((sum, share, j) => sum + share * z[j]![i]!, 0));
  const noise = Math.sqrt(dot(rest, rest) / (points - 3));
  const kappa = own.reduce((sum, share) => sum + share, 0);
  if (noise > 1.4 * noiseLogP || kappa > KAPPA_MOST) return false;
  if (gas.stops >= SETTLED_STOPS && Math.abs(kappa - gas.kappa) > KAPPA_STRAY) return false;
  zz.forEach((v, k) => {
    gas.zz[k] = KEEP * gas.zz[k]! + v;
  });
  zy.forEach((v, k) => {
    gas.zy[k] = KEEP * gas.zy[k]! + v;
  });
  gas.stops += 1;
  return true;
}

/** Air alone cannot warm more than without any heat lost; a draw after the stop looks as if. */
const KAPPA_MOST = 0.36;
/** Once known, a gas does not change from stop to stop by more than this: water is leaving. */
const SETTLED_STOPS = 10;
const KAPPA_STRAY = 0.05;
const SWEEPS = 60;

function choose(gas: TankGas, noiseLogP: number): void {
  gas.shares = fitShares(gas.zz, gas.zy, noiseLogP);
  Object.assign(gas, summary(gas.shares));
}

/** Shares by least squares, none below zero, drawn to where they started; by coordinate descent. */
function fitShares(zz: number[], zy: number[], noiseLogP: number): number[] {
  const pull = SHARE_STD.map((std) => (4 * noiseLogP ** 2) / std ** 2);
  const shares = SHARES_START.slice();
  for (let sweep = 0; sweep < SWEEPS; sweep++)
    for (let j = 0; j < GRID; j++) {
      let rest = zy[j]! + pull[j]! * SHARES_START[j]!;
      for (let k = 0; k < GRID; k++) if (k !== j) rest -= zz[j * GRID + k]! * shares[k]!;
      shares[j] = Math.max(0, rest / (zz[j * GRID + j]! + pull[j]!));
    }
  return shares;
}

function centred(values: number[]): number[] {
  const mean = values.reduce((sum, v) => sum + v, 0) / values.length;
  return values.map((v) => v - mean);
}

const dot = (a: number[], b: number[]): number => a.reduce((sum, v, i) => sum + v * b[i]!, 0);
