import type { Truth } from './compare.ts';

/**
 * A tank, a pump and a switch of their own, sharing nothing with the rehearsed wells: the gas by
 * its energy equation with a constant conductance to a wall at room temperature, the pump by a
 * straight line of delivery over pressure. It is there to put real household demand, second by
 * second, through a log. Invented but plausible: a 44-gallon tank at 40/60 psi.
 */
const PSI_PA = 6894.757;
const GALLON_M3 = 0.003785411784;
const ATMOSPHERE_PA = 14.2 * PSI_PA;
const TANK_M3 = 43.1 * GALLON_M3;
const PRECHARGE_PA = 37.2 * PSI_PA + ATMOSPHERE_PA;
const ROOM_K = 288;
const GAS_KG = (PRECHARGE_PA * TANK_M3) / (287.05 * ROOM_K);
const CV = 718;
const CONDUCTANCE_W_PER_K = 5.5;
const CUT_IN_PSI = 40.3;
const CUT_OUT_PSI = 60.4;

export interface HouseholdLog {
  wellToml: string;
  truth: Truth;
}

export interface HouseholdReading {
  timeS: number;
  pressurePsi: number;
  currentA: number;
}

/** Millilitres a second by Unix second, from rows of seconds and of whole uses. */
export function readDemand(csv: string): Map<number, number> {
  const demand = new Map<number, number>();
  for (const row of csv.split('\n').slice(1)) {
    const [time, , millilitres, duration] = row.split(',').map(Number);
    if (!(millilitres! > 0)) continue;
    const lengthS = Math.max(1, duration!);
    for (let k = 0; k < lengthS; k++)
      demand.set(time! + k, (demand.get(time! + k) ?? 0) + millilitres! / lengthS);
  }
  return demand;
}

/** A small generator of its own (mulberry32), so that the log is the same every time. */
function generator(seed: number): () => number {
  let a = seed >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

export interface HouseholdOptions {
  demand: Map<number, number>;
  startS: number;
  days: number;
  /** Interval of readings at rest; 1 s while the pump runs. */
  restS: number;
}

/** Runs the house for some days and tells of every reading; gives the truth and the well file. */
export function runHousehold(
  options: HouseholdOptions,
  tell: (reading: HouseholdReading) => void,
): HouseholdLog {
  const { startS, days, restS } = options;
  const random = generator(20261125);
  const gauss = (): number =>
    Math.sqrt(-2 * Math.log(random() + 1e-12)) * Math.cos(2 * Math.PI * random());
  const truth: Truth = { days: [], runs: [] };
  let gasM3 = (GAS_KG * 287.05 * ROOM_K) / (52 * PSI_PA + ATMOSPHERE_PA);
  let gasK = ROOM_K;
  let on = false;
  let run = { startS: 0, pumpedM3: 0 };
  let nextS = startS;
  const bucketS = startS + 2.5 * 86_400;
  const bucketM3 = 6 * GALLON_M3;
  let bucketLeftM3 = 0;
  let bucket: { startS: number; stopS: number } | null = null;
  let waitS = 0;
  for (let d = 0; d < days; d++) {
    const day = { used_gal: 0, leaked_gal: 0, ran_back_gal: 0, pumped_gal: 0 };
    for (let t = startS + d * 86_400; t < startS + (d + 1) * 86_400; t++) {
      const pressurePa = (GAS_KG * 287.05 * gasK) / gasM3;
      const psi = (pressurePa - ATMOSPHERE_PA) / PSI_PA;
      const testing = t > bucketS - 3600 && (bucket === null || t < bucket.stopS + 420);
      let leavingM3 = testing ? 0 : (options.demand.get(t) ?? 0) * 1e-6;
      // The keeper's test: nobody else draws, the tank is full, five minutes later a bucket.
      if (testing && bucket === null) {
        waitS = on || psi < 53 ? 0 : waitS + 1;
        if (!on && psi < 53) leavingM3 = 1.2e-4;
        if (waitS > 360) {
          bucket = { startS: t, stopS: Infinity };
          bucketLeftM3 = bucketM3;
        }
      }
      if (bucketLeftM3 > 0) {
        leavingM3 = Math.min(1.5e-4, bucketLeftM3);
        bucketLeftM3 -= leavingM3;
        if (bucketLeftM3 <= 0) bucket!.stopS = t + 1;
      }
      const was = on;
      if (!on && psi < CUT_IN_PSI && bucketLeftM3 <= 0) on = true;
      else if (on && psi > CUT_OUT_PSI) on = false;
      if (on && !was) run = { startS: t, pumpedM3: 0 };
      if (!on && was)
        truth.runs.push({
          start: new Date(run.startS * 1000).toISOString(),
          stop: new Date(t * 1000).toISOString(),
          pumped_gal: run.pumpedM3 / GALLON_M3,
        });
      const deliveredM3 = on ? 6.9e-4 - 4.6e-6 * (psi - 40) : 0;
      run.pumpedM3 += deliveredM3;
      day.used_gal += leavingM3 / GALLON_M3;
      day.pumped_gal += deliveredM3 / GALLON_M3;
      const growM3 = leavingM3 - deliveredM3;
      gasK -= (pressurePa * growM3 + CONDUCTANCE_W_PER_K * (gasK - ROOM_K)) / (GAS_KG * CV);
      gasM3 += growM3;
      if (t + 1e-9 < nextS) continue;
      const friction = on ? 0.6 : 0;
      const amps = on ? 7.9 - 0.008 * (psi - 40) + 0.05 * gauss() : 0.03 + 0.01 * gauss();
      tell({
        timeS: t,
        pressurePsi: psi + friction + (on ? 0.09 : 0.06) * gauss(),
        currentA: Math.max(amps, 0),
      });
      nextS = t + (on ? 1 : restS);
    }
    truth.days.push({
      date: new Date((startS + d * 86_400) * 1000).toISOString().slice(0, 10),
      ...day,
    });
  }
  return { wellToml: wellFile(bucket), truth };
}

function wellFile(bucket: { startS: number; stopS: number } | null): string {
  const instant = (s: number): string => new Date(s * 1000).toISOString();
  const test =
    bucket === null
      ? ''
      : `[[bucket_test]]\nstart = ${instant(bucket.startS)}\nstop = ${instant(bucket.stopS)}\n` +
        'volume = "6.00 gal"\n';
  return `name = "Household"
id = "household"
time_zone = "UTC"
altitude = "960 ft"
[well]
static_level = "80 ft"
casing = "6 in"
[pump]
power = "0.75 hp"
voltage = "230 V"
full_load_current = "7.8 A"
rated_flow = "10 gpm"
intake_depth = "180 ft"
[tank]
volume = "44 gal"
precharge = "38 psi"
[switch]
cut_in = "40 psi"
cut_out = "60 psi"
${test}`;
}
