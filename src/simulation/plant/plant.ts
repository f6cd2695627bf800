import { DAY_S } from '../constants.ts';
import { type Condition, sound } from '../faults/condition.ts';
import type { Taps } from '../household/taps.ts';
import { createRandom } from '../random.ts';
import { type Aquifer, type AquiferState, createAquifer } from './aquifer.ts';
import type { PlantDesign } from './design.ts';
import { Drive } from './drive.ts';
import { Neighbours } from './neighbours.ts';
import { PressureSwitch } from './pressure-switch.ts';
import { Riser } from './riser.ts';
import { SlowNoise } from './slow-noise.ts';
import { Tee } from './tee.ts';

const YEAR_S = 365.25 * DAY_S;
/** Static level is highest about 20 March and lowest about 20 September. */
const HIGHEST_DAY = 79;
/** Water over the intake below which the pump draws air, m. */
const AIR_BELOW_M = 0.6;

/** Water moved since the start, m3, and electric energy, J. Water is neither made nor lost. */
export interface Books {
  pumpedM3: number;
  usedM3: number;
  leakedM3: number;
  ranBackM3: number;
  inflowM3: number;
  electricJ: number;
  shaftJ: number;
  gasWorkJ: number;
  gasToWallJ: number;
  wallToRoomJ: number;
}

/** When and where the plant starts; local time less UTC sets the daily cycles. */
export interface PlantStart {
  startS: number;
  offsetS: number;
  seed: number;
}

/** The whole system, moved step by step. Deterministic: no clock, no randomness but its own. */
export class Plant {
  readonly design: PlantDesign;
  readonly drive: Drive;
  readonly riser: Riser;
  readonly tee: Tee;
  readonly aquifer: Aquifer;
  readonly well: AquiferState;
  readonly pressureSwitch: PressureSwitch;
  readonly taps: Taps;
  readonly books: Books;
  condition: Condition = sound();
  /** Breaker in the pump's supply. */
  breakerOn = true;
  timeS: number;
  staticM: number;
  roomK: number;
  /** Gas share in the pump now, from the water or from a free intake. */
  gas = 0;
  readonly #voltageNoise: SlowNoise;
  readonly #fastVoltageNoise: SlowNoise;
  readonly #roomNoise: SlowNoise;
  readonly #levelNoise: SlowNoise;
  readonly #gulpNoise: SlowNoise;
  readonly #neighbours: Neighbours;
  readonly #offsetS: number;
  #hotS = 0;
  #rate = 0;
  #supplyV = 0;

  constructor(design: PlantDesign, taps: Taps, from: PlantStart) {
    const { startS, offsetS, seed } = from;
    this.#offsetS = offsetS;
    this.design = design;
    this.taps = taps;
    this.timeS = startS;
    const random = createRandom(seed, 'plant');
    this.#voltageNoise = new SlowNoise(createRandom(seed, 'voltage'), 300, 5400);
    this.#fastVoltageNoise = new SlowNoise(createRandom(seed, 'fast-voltage'), 4, 15);
    this.#roomNoise = new SlowNoise(createRandom(seed, 'room'), 1800, 6 * 3600);
    this.#levelNoise = new SlowNoise(createRandom(seed, 'level'), 6 * 3600, 5 * DAY_S);
    this.#gulpNoise = new SlowNoise(createRandom(seed, 'gulp'), 0.4, 0.8);
    this.#neighbours = new Neighbours(design.neighbours, design.aquifer, from);
    this.roomK = this.#room();
    this.staticM = this.#static();
    const pressure =
      design.cutInPaGauge + random.between(0.3, 0.9) * (design.cutOutPaGauge - design.cutInPaGauge);
    this.drive = new Drive(design, createRandom(seed, 'drive'));
    this.riser = new Riser(design, createRandom(seed, 'riser'));
    this.tee = new Tee(design, this.roomK, pressure);
    this.aquifer = createAquifer(design.aquifer);
    this.well = this.aquifer.create();
    this.pressureSwitch = new PressureSwitch(design, createRandom(seed, 'switch'), pressure);
    this.books = {
      pumpedM3: 0,
      usedM3: 0,
      leakedM3: 0,
      ranBackM3: 0,
      inflowM3: 0,
      electricJ: 0,
      shaftJ: 0,
      gasWorkJ: 0,
      gasToWallJ: 0,
      wallToRoomJ: 0,
    };
  }

  /** Depth to the water in the casing, m below ground. */
  get levelM(): number {
    return this.staticM + this.well.casingM;
  }

  get running(): boolean {
    return this.drive.electric.currentA > 0;
  }

  #room(): number {
    const day = (2 * Math.PI * ((this.timeS + this.#offsetS) % DAY_S)) / DAY_S;
    const year = (2 * Math.PI * (this.timeS / DAY_S - 200)) / 365.25;
    const daily = this.design.roomDailyK * Math.cos(day - (2 * Math.PI * 16) / 24);
    return (
      this.design.roomMeanK + 4 * Math.cos(year) + daily + 0.4 * this.#roomNoise.at(this.timeS)
    );
  }

  #static(): number {
    const year = (2 * Math.PI * (this.timeS / DAY_S - HIGHEST_DAY)) / (YEAR_S / DAY_S);
    const season = -this.design.seasonM * Math.cos(year);
    return (
      this.design.staticDepthM +
      season +
      this.condition.staticShiftM +
      this.#neighbours.at(this.timeS) +
      0.12 * this.#levelNoise.at(this.timeS)
    );
  }

  /** Voltage of the house's supply with the pump's share of its drop, V. */
  get mainsV(): number {
    return (
      this.#supplyV * this.condition.voltageShare -
      this.design.serviceOhm * this.drive.electric.currentA
    );
  }

  #lineV(): number {
    this.#supplyV = this.condition.powerOut ? 0 : this.#houseV();
    if (!this.breakerOn || this.condition.contactsOpen || !this.pressureSwitch.closed) return 0;
    return this.#supplyV;
  }

  #houseV(): number {
    const day = (2 * Math.PI * ((this.timeS + this.#offsetS) % DAY_S)) / DAY_S;
    const share =
      1 -
      0.006 * Math.cos(day - (2 * Math.PI * 18) / 24) +
      0.004 * this.#voltageNoise.at(this.timeS) +
      0.0018 * this.#fastVoltageNoise.at(this.timeS);
    return this.design.lineV * share;
  }

  /** The contacts have just closed on a motor at rest. */
  get #startsNow(): boolean {
    const fed = this.pressureSwitch.closed && !this.condition.contactsOpen;
    const supplied = this.breakerOn && !this.condition.powerOut && !this.drive.protectorOpen;
    return fed && supplied && !this.running;
  }

  /** Longest step that keeps the state honest; the caller may ask for less. */
  longestStepS(restS: number): number {
    const t = this.timeS;
    let dt = restS;
    const sw = this.pressureSwitch;
    // A protector that closed only at the ends of long steps would hide its tries from a device
    // that reads at those moments.
    dt = Math.min(dt, sw.pendingS(t), this.drive.closesInS);
    if (this.drive.starting || this.#startsNow) return Math.min(dt, 0.01);
    if (this.running || this.drive.speedRadPerS > 0) {
      dt = Math.min(dt, this.#hotS < 1.5 ? 0.04 : 1);
      if (!this.running) dt = Math.min(dt, 0.02);
    }
    if (this.gas > 0) dt = Math.min(dt, 0.25);
    dt = Math.min(dt, this.taps.longestStepS(t, this.tee.pressurePa));
    return Math.min(dt, this.#pressureStepS());
  }

  /** Step in which the pressure moves by no more than about 0.1 psi, finer close to the switch. */
  #pressureStepS(): number {
    const rate = Math.abs(this.#rate);
    if (rate === 0) return Number.POSITIVE_INFINITY;
    const apart = Math.abs(this.tee.pressurePa - this.pressureSwitch.nextPa(this.condition));
    return Math.max(Math.min(800, 0.7 * apart + 15) / rate, 0.02);
  }

  step(dtS: number): void {
    const condition = this.condition;
    const lineV = this.#lineV();
    const wasRunning = this.running;
    this.roomK = this.#room();
    this.staticM = this.#static();
    this.#gasNow();
    this.drive.step(dtS, lineV, this.riser.pumpM3PerS, condition, this.gas);
    if (wasRunning !== this.running) this.#hotS = 0;
    if (wasRunning && !this.running) this.riser.reseat(condition);
    this.#hotS += dtS;

    this.riser.step(dtS, {
      drive: this.drive,
      levelM: this.levelM,
      teePa: this.tee.pressurePa,
      gas: this.gas,
      condition,
    });
    const before = this.tee.pressurePa;
    this.taps.openDue(this.timeS);
    const tapConductance = this.taps.conductance;
    this.tee.step(dtS, this.riser.toTeeM3PerS, tapConductance, this.roomK, condition);
    this.#rate = (this.tee.pressurePa - before) / dtS;
    this.taps.spend(dtS, this.tee.flows.usedM3PerS * dtS);
    this.aquifer.step(this.well, this.riser.pumpM3PerS - this.riser.backM3PerS, dtS, {
      fractureM: condition.fractureDepthM - this.staticM,
      skinFactor: condition.skinFactor,
    });
    this.timeS += dtS;
    this.pressureSwitch.step(dtS, this.timeS, this.tee.pressurePa, condition);
    this.#write(dtS);
  }

  /** Gas share: what the water brings, and air where the intake is nearly free. */
  #gasNow(): void {
    const over = this.design.intakeDepthM - this.levelM;
    let gas = 0;
    const running = this.running || this.pressureSwitch.closed;
    if (running && (over < 2 * AIR_BELOW_M || this.condition.gasInWater > 0)) {
      const noise = this.#gulpNoise.at(this.timeS);
      const free = Math.min(Math.max(1 - over / AIR_BELOW_M, 0), 1);
      const churn = free > 0 ? 0.35 * noise : 0;
      gas = free + churn + this.condition.gasInWater * (1 + 0.3 * noise);
    }
    this.gas = Math.min(Math.max(gas, 0), 0.98);
  }

  #write(dtS: number): void {
    const books = this.books;
    const flows = this.tee.flows;
    books.pumpedM3 += this.riser.pumpM3PerS * dtS;
    books.usedM3 += flows.usedM3PerS * dtS;
    books.leakedM3 += (flows.houseLeakM3PerS + flows.lineLeakM3PerS + flows.reliefM3PerS) * dtS;
    books.ranBackM3 += this.riser.backM3PerS * dtS;
    books.inflowM3 += this.well.inflowM3PerS * dtS;
    books.electricJ += this.drive.electric.powerW * dtS;
    books.shaftJ += this.drive.shaftW * dtS;
    books.gasWorkJ += this.tee.exchange.workJ;
    books.gasToWallJ += this.tee.exchange.toWallJ;
    books.wallToRoomJ += this.tee.exchange.toRoomJ;
  }
}
