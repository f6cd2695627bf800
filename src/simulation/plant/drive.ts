import type { Condition } from '../faults/condition.ts';
import type { Random } from '../random.ts';
import type { PlantDesign } from './design.ts';
import { type MotorDrive, type MotorState, solveMotor } from './motor.ts';
import { createPump, type Pump, type PumpWear } from './pump.ts';

/** Resistance of copper over its value at the 60 degC the circuits hold for. */
const copper = (celsius: number) => (234.5 + celsius) / 294.5;
const START_SWITCH_SPEED = 0.75;
/** Idle loss of a cold motor above that of a warm one, share, and the warming that ends it. */
const COLD_DRAG = 0.45;
const COLD_DRAG_K = 18;
/** Bimetal: heats with the square of the current, opens and closes at these shares of it. */
const BIMETAL_S = 110;
const BIMETAL_OPENS = 1.5;
const BIMETAL_CLOSES = 0.55;

/** Motor and pump on one shaft, with the motor's heat and its protector. */
export class Drive {
  readonly pump: Pump;
  readonly electric: MotorState = {
    currentA: 0,
    powerW: 0,
    torqueNm: 0,
    windingLossW: 0,
    supplyLossW: 0,
    airGapW: 0,
  };
  speedRadPerS = 0;
  shaftW = 0;
  idleW = 0;
  windingC = 12;
  shellC = 12;
  bimetal = 0;
  protectorOpen = false;
  starting = false;
  readonly #design: PlantDesign;
  readonly #random: Random;
  readonly #inertiaKgM2: number;
  readonly #feed: MotorDrive;
  readonly #wear: PumpWear = { leakFactor: 1, diameterLoss: 0 };
  #powered = false;
  #startMissed = false;

  constructor(design: PlantDesign, random: Random) {
    this.#design = design;
    this.#random = random;
    this.pump = createPump(design.pump);
    this.#inertiaKgM2 = 3.2e-6 * design.ratedShaftW;
    this.#feed = {
      voltageV: 0,
      supplyOhm: design.supplyOhm,
      auxiliary: 'open',
      statorHeat: 1,
      rotorHeat: 1,
      runCapacitance: 1,
      startCapacitance: 1,
    };
  }

  get speedRatio(): number {
    return this.speedRadPerS / this.#design.pump.speedRadPerS;
  }

  /** Time until the open protector has cooled enough to close, s. */
  get closesInS(): number {
    if (!this.protectorOpen) return Number.POSITIVE_INFINITY;
    return BIMETAL_S * Math.log(this.bimetal / BIMETAL_CLOSES) + 1e-3;
  }

  /** Head of the pump at this flow and speed, m; gas in the stages takes head and load. */
  headM(flowM3PerS: number, condition: Condition, gas: number): number {
    if (!condition.coupled || this.speedRadPerS < 1) return 0;
    this.#setWear(condition);
    const s = condition.pumpScale;
    const full = this.pump.headM(flowM3PerS / s, this.speedRatio, this.#wear);
    return full * (1 - gas) * (1 - 0.5 * gas);
  }

  #setWear(condition: Condition): void {
    this.#wear.leakFactor = condition.wearLeakFactor;
    this.#wear.diameterLoss = condition.diameterLoss;
  }

  #loadW(flowM3PerS: number, speed: number, condition: Condition, gas: number): number {
    const ratio = speed / this.#design.pump.speedRadPerS;
    // A cold motor churns a thicker filling: its idle losses fall in the first minutes.
    const warmK = this.windingC - this.#design.waterK + 273.15;
    const thick = 1 + COLD_DRAG * Math.exp(-warmK / COLD_DRAG_K);
    this.idleW = condition.motorScale * thick * this.#design.motor.idleLossW * ratio * ratio;
    this.shaftW = 0;
    if (condition.coupled) {
      const s = condition.pumpScale;
      const pump = s * this.pump.shaftPowerW(flowM3PerS / s, ratio, this.#wear);
      this.shaftW =
        pump * (1 - 0.85 * gas) + condition.dragShare * this.#design.ratedShaftW * ratio;
    }
    return this.idleW + this.shaftW;
  }

  /** One step: electric state, speed, heat, protector. `lineV` 0 is no supply. */
  step(dtS: number, lineV: number, flowM3PerS: number, condition: Condition, gas: number): void {
    this.#setWear(condition);
    const powered = lineV > 0 && !this.protectorOpen;
    if (powered && !this.#powered) this.#begin(condition);
    this.#powered = powered;
    if (powered) this.#drive(dtS, lineV, flowM3PerS, condition, gas);
    else this.#coast(dtS, flowM3PerS, condition, gas);
    this.#heat(dtS, condition);
  }

  #begin(condition: Condition): void {
    this.starting = true;
    this.#startMissed = this.#random.chance(condition.startMissShare);
  }

  #drive(dtS: number, lineV: number, flow: number, condition: Condition, gas: number): void {
    const feed = this.#feed;
    const motor = this.#design.motor;
    feed.voltageV = lineV * condition.voltageShare;
    feed.statorHeat = copper(this.windingC);
    feed.rotorHeat = copper(0.5 * (this.windingC + this.shellC) + 30);
    feed.runCapacitance = condition.runCapacitance;
    feed.startCapacitance = condition.startCapacitance;
    const sync = motor.synchronousRadPerS;
    if (this.speedRadPerS > START_SWITCH_SPEED * sync) this.starting = false;
    const capacitorRun = this.#design.motorKind === 'capacitor-run';
    feed.auxiliary = capacitorRun ? 'run' : 'open';
    if ((this.starting && !this.#startMissed) || condition.startStuck) feed.auxiliary = 'start';
    if (condition.rotorLocked) {
      this.speedRadPerS = 0;
      this.shaftW = 0;
      this.idleW = 0;
      this.#solve(1, condition);
      return;
    }
    this.#accelerate(dtS, flow, condition, gas);
  }

  /** A motor of another size is the same circuit with all impedances divided by its scale. */
  #solve(slip: number, condition: Condition): void {
    const size = condition.motorScale;
    this.#feed.supplyOhm = size * (this.#design.supplyOhm + condition.jointOhm);
    const out = this.electric;
    solveMotor(this.#design.motor, this.#feed, slip, out);
    if (size === 1) return;
    out.currentA *= size;
    out.powerW *= size;
    out.torqueNm *= size;
    out.windingLossW *= size;
    out.supplyLossW *= size;
    out.airGapW *= size;
  }

  /** Speed by backward Euler: J w dw/dt = air-gap torque times speed less load. */
  #accelerate(dtS: number, flow: number, condition: Condition, gas: number): void {
    const sync = this.#design.motor.synchronousRadPerS;
    const before = this.speedRadPerS;
    const imbalance = (speed: number): number => {
      this.#solve(1 - speed / sync, condition);
      const load = this.#loadW(flow, speed, condition, gas) / Math.max(speed, 20);
      return (this.#inertiaKgM2 * (speed - before)) / dtS - this.electric.torqueNm + load;
    };
    let speed = Math.min(before, 0.9995 * sync);
    let f = imbalance(speed);
    for (let i = 0; i < 8 && Math.abs(f) > 1e-7; i++) {
      const probe = speed > 0.5 * sync ? -0.02 : 0.05;
      const slope = (imbalance(speed + probe) - f) / probe;
      const inertia = this.#inertiaKgM2 / dtS;
      const step = -f / (slope > 0.2 * inertia ? slope : inertia);
      speed = Math.min(Math.max(speed + Math.max(-30, Math.min(30, step)), 0), 0.9995 * sync);
      f = imbalance(speed);
    }
    this.speedRadPerS = speed;
  }

  #coast(dtS: number, flow: number, condition: Condition, gas: number): void {
    const out = this.electric;
    out.currentA = out.powerW = out.torqueNm = out.windingLossW = 0;
    out.supplyLossW = out.airGapW = 0;
    this.starting = false;
    if (this.speedRadPerS === 0) return;
    const speed = this.speedRadPerS;
    const drag = this.#loadW(flow, speed, condition, gas) / speed + 0.05 * speed * 1e-2;
    this.speedRadPerS = Math.max(0, speed - (drag * dtS) / this.#inertiaKgM2);
    if (this.speedRadPerS < 8) this.speedRadPerS = 0;
    this.shaftW = this.speedRadPerS === 0 ? 0 : this.shaftW;
  }

  #heat(dtS: number, condition: Condition): void {
    const size = this.#design.ratedShaftW / 800;
    const rotorLossW = Math.max(
      0,
      this.electric.airGapW - this.electric.torqueNm * this.speedRadPerS,
    );
    const heatW = this.electric.windingLossW + 0.4 * rotorLossW;
    const between = 6 * size;
    const windingJPerK = 420 * size;
    const shellJPerK = 2300 * size;
    const waterC = this.#design.waterK - 273.15;
    const kept = 1 - Math.exp((-dtS * between) / windingJPerK);
    const goal = this.shellC + heatW / between;
    const windingBefore = this.windingC;
    this.windingC += kept * (goal - this.windingC);
    const passed = between * (0.5 * (windingBefore + this.windingC) - this.shellC);
    const toWater = 22 * size;
    this.shellC +=
      (dtS * (passed - toWater * (this.shellC - waterC))) / (shellJPerK + toWater * dtS);
    const relative = this.electric.currentA / (this.#design.serviceFactorA * condition.motorScale);
    const load = (relative / condition.protectorShare) ** 2;
    this.bimetal += (1 - Math.exp(-dtS / BIMETAL_S)) * (load - this.bimetal);
    if (this.bimetal > BIMETAL_OPENS) this.protectorOpen = true;
    else if (this.bimetal < BIMETAL_CLOSES) this.protectorOpen = false;
  }
}
