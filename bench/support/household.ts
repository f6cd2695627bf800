import type { Truth } from './compare.ts';
import { GatheredLog } from './gathered-log.ts';
import { generator } from './random.ts';
import type { MadeLog } from './rehearsed.ts';

/*
 * A tank, a pump and a switch of their own, sharing nothing with the rehearsed wells: the gas by
 * its energy equation with a constant conductance to a wall at room temperature, the pump by a
 * straight line of delivery over pressure. It is there to put real household demand, second by
 * second, through a log. Invented but plausible: a 44-gallon tank at 40/60 psi.
 */
const DAY_S = 86_400;
const PSI_PA = 6894.757;
const GALLON_M3 = 0.003785411784;
const ATMOSPHERE_PA = 14.2 * PSI_PA;
const TANK_M3 = 43.1 * GALLON_M3;
const PRECHARGE_PA = 37.2 * PSI_PA + ATMOSPHERE_PA;
const FIRST_PA = 52 * PSI_PA + ATMOSPHERE_PA;
const ROOM_K = 288;
const GAS_J_PER_K = (PRECHARGE_PA * TANK_M3) / ROOM_K;
/** Mass times specific heat at constant volume: R over 0.4 for air. */
const HEAT_J_PER_K = (GAS_J_PER_K * 718) / 287.05;
const CONDUCTANCE_W_PER_K = 5.5;
const CUT_IN_PSI = 40.3;
const CUT_OUT_PSI = 60.4;
const TEE_FRICTION_PSI = 0.6;

const TEST_AT_S = 2.5 * DAY_S;
const BUCKET_M3 = 6 * GALLON_M3;
const BUCKET_FLOW_M3_PER_S = 1.5e-4;
/** The keeper draws the tank down until the pump fills it, so that the test starts full. */
const RINSE_M3_PER_S = 1.2e-4;
const FULL_PSI = 53;
const REST_BEFORE_S = 360;
const REST_AFTER_S = 420;

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

/** Gas by pV = mRT and m cv dT = -p dV - UA (T - room), the switch, and the pump's line. */
class Plant {
  on = false;
  #gasM3 = (GAS_J_PER_K * ROOM_K) / FIRST_PA;
  #gasK = ROOM_K;

  get psi(): number {
    return ((GAS_J_PER_K * this.#gasK) / this.#gasM3 - ATMOSPHERE_PA) / PSI_PA;
  }

  get deliveredM3PerS(): number {
    return this.on ? 6.9e-4 - 4.6e-6 * (this.psi - 40) : 0;
  }

  /** One second of the gas, in which so much more water left the tank than came. */
  step(grownM3: number): void {
    const work = ((GAS_J_PER_K * this.#gasK) / this.#gasM3) * grownM3;
    const heat = CONDUCTANCE_W_PER_K * (this.#gasK - ROOM_K);
    this.#gasK -= (work + heat) / HEAT_J_PER_K;
    this.#gasM3 += grownM3;
  }
}

/** The bucket test: nobody else draws, the tank is full and at rest, then a measured volume. */
class Keeper {
  startS = Number.NaN;
  stopS = Number.POSITIVE_INFINITY;
  #restedS = 0;
  #leftM3 = BUCKET_M3;
  readonly #fromS: number;

  constructor(startS: number) {
    this.#fromS = startS + TEST_AT_S - 3600;
  }

  /** With the breaker off, too: the pump cannot start in the test. */
  get filling(): boolean {
    return !Number.isNaN(this.startS) && this.#leftM3 > 0;
  }

  /** Whether the keeper has the house to himself. */
  atWork(timeS: number): boolean {
    return timeS > this.#fromS && timeS < this.stopS + REST_AFTER_S;
  }

  /** What he draws in this second [m3]. */
  draw(timeS: number, plant: Plant): number {
    if (this.#leftM3 <= 0) return 0;
    if (Number.isNaN(this.startS)) {
      const full = !plant.on && plant.psi >= FULL_PSI;
      this.#restedS = full ? this.#restedS + 1 : 0;
      if (this.#restedS <= REST_BEFORE_S) return plant.on || full ? 0 : RINSE_M3_PER_S;
      this.startS = timeS;
    }
    const drawnM3 = Math.min(BUCKET_FLOW_M3_PER_S, this.#leftM3);
    this.#leftM3 -= drawnM3;
    if (this.#leftM3 <= 0) this.stopS = timeS + 1;
    return drawnM3;
  }
}

/** What happened: the days and the runs. */
class Record {
  readonly truth: Truth = { days: [], runs: [] };
  #runStartS = 0;
  #runM3 = 0;
  #usedM3 = 0;
  #pumpedM3 = 0;

  follow(timeS: number, usedM3: number, pumpedM3: number, switched: 'on' | 'off' | null): void {
    if (switched === 'on') {
      this.#runStartS = timeS;
      this.#runM3 = 0;
    } else if (switched === 'off') {
      this.truth.runs.push({
        start: new Date(this.#runStartS * 1000).toISOString(),
        stop: new Date(timeS * 1000).toISOString(),
        pumped_gal: this.#runM3 / GALLON_M3,
      });
    }
    this.#runM3 += pumpedM3;
    this.#usedM3 += usedM3;
    this.#pumpedM3 += pumpedM3;
    if ((timeS + 1) % DAY_S === 0) this.#closeDay(timeS);
  }

  #closeDay(timeS: number): void {
    this.truth.days.push({
      date: new Date(timeS * 1000).toISOString().slice(0, 10),
      used_gal: this.#usedM3 / GALLON_M3,
      leaked_gal: 0,
      ran_back_gal: 0,
      pumped_gal: this.#pumpedM3 / GALLON_M3,
    });
    this.#usedM3 = 0;
    this.#pumpedM3 = 0;
  }
}

export interface HouseholdOptions {
  demand: Map<number, number>;
  /** Interval of readings at rest; 1 s while the pump runs. */
  restS: number;
}

/** The days that the demand covers whole: no day is made up or used twice. */
function wholeDays(demand: Map<number, number>): { startS: number; endS: number } {
  let firstS = Infinity;
  let lastS = -Infinity;
  for (const second of demand.keys()) {
    firstS = Math.min(firstS, second);
    lastS = Math.max(lastS, second);
  }
  return { startS: Math.ceil(firstS / DAY_S) * DAY_S, endS: Math.floor(lastS / DAY_S) * DAY_S };
}

/** Runs the house through the whole days of the demand; gives log, well file and truth. */
export function runHousehold({ demand, restS }: HouseholdOptions): MadeLog {
  const { startS, endS } = wholeDays(demand);
  const random = generator(20261125);
  const gauss = (): number =>
    Math.sqrt(-2 * Math.log(random() + 1e-12)) * Math.cos(2 * Math.PI * random());
  const plant = new Plant();
  const keeper = new Keeper(startS);
  const record = new Record();
  const log = new GatheredLog();
  let nextS = startS;
  for (let t = startS; t < endS; t++) {
    const psi = plant.psi;
    const usedM3 = keeper.atWork(t) ? keeper.draw(t, plant) : (demand.get(t) ?? 0) * 1e-6;
    const was = plant.on;
    if (!plant.on && psi < CUT_IN_PSI && !keeper.filling) plant.on = true;
    else if (plant.on && psi > CUT_OUT_PSI) plant.on = false;
    const pumpedM3 = plant.deliveredM3PerS;
    record.follow(t, usedM3, pumpedM3, was === plant.on ? null : plant.on ? 'on' : 'off');
    plant.step(usedM3 - pumpedM3);
    if (t < nextS) continue;
    const { on } = plant;
    const amps = on ? 7.9 - 0.008 * (psi - 40) + 0.05 * gauss() : 0.03 + 0.01 * gauss();
    log.pressure(t, psi + (on ? TEE_FRICTION_PSI : 0) + (on ? 0.09 : 0.06) * gauss());
    log.current(t, Math.max(amps, 0));
    nextS = t + (on ? 1 : restS);
  }
  return { log, toml: wellFile(keeper), truth: record.truth };
}

function wellFile({ startS, stopS }: Keeper): string {
  const instant = (s: number): string => new Date(s * 1000).toISOString();
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
[[bucket_test]]
start = ${instant(startS)}
stop = ${instant(stopS)}
volume = "6.00 gal"
`;
}
