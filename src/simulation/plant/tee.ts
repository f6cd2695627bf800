import { AIR_GAS_CONSTANT_J_PER_KG_K, PSI_PA } from '../constants.ts';
import type { Condition, Leak } from '../faults/condition.ts';
import type { PlantDesign } from './design.ts';
import {
  gasConductance,
  gasTemperatureAfter,
  stepTank,
  type TankExchange,
  type TankState,
} from './tank.ts';

const REFERENCE_PA = 50 * PSI_PA;

/** What left the tee in one step, m3/s. */
export interface TeeFlows {
  usedM3PerS: number;
  houseLeakM3PerS: number;
  lineLeakM3PerS: number;
  reliefM3PerS: number;
  tankM3PerS: number;
}

function leakFlow(leak: Leak, pressurePa: number): number {
  if (leak.flowAt50PsiM3PerS === 0 || pressurePa <= 0) return 0;
  return leak.flowAt50PsiM3PerS * (pressurePa / REFERENCE_PA) ** leak.exponent;
}

/** Tank tee with tank, taps, leaks, relief valve and elastic pipes. */
export class Tee {
  readonly tank: TankState;
  readonly flows: TeeFlows = {
    usedM3PerS: 0,
    houseLeakM3PerS: 0,
    lineLeakM3PerS: 0,
    reliefM3PerS: 0,
    tankM3PerS: 0,
  };
  readonly exchange: TankExchange = { workJ: 0, toWallJ: 0, toRoomJ: 0 };
  pressurePa: number;
  reliefOpen = false;
  readonly chargedKg: number;
  readonly #design: PlantDesign;

  constructor(design: PlantDesign, roomK: number, pressurePaGauge: number) {
    this.#design = design;
    const gasPa = design.prechargePaGauge + design.atmospherePa;
    this.chargedKg = (gasPa * design.tankM3) / (AIR_GAS_CONSTANT_J_PER_KG_K * 289);
    this.tank = {
      volumeM3: design.tankM3,
      gasKg: this.chargedKg,
      gasM3: 0,
      gasK: roomK,
      wallK: roomK,
      gasPa: pressurePaGauge + design.atmospherePa,
    };
    this.tank.gasM3 = (this.tank.gasKg * AIR_GAS_CONSTANT_J_PER_KG_K * roomK) / this.tank.gasPa;
    this.pressurePa = pressurePaGauge;
  }

  get waterM3(): number {
    return this.tank.volumeM3 - this.tank.gasM3;
  }

  /** Flow out of the tee at a pressure, all ways together. */
  #outflow(p: number, tapConductance: number, condition: Condition): number {
    const flows = this.flows;
    const root = Math.sqrt(Math.max(p, 0));
    const taps = tapConductance * condition.filterShare;
    const own = (condition.seepM3PerS + condition.steadyUseM3PerS) / Math.sqrt(REFERENCE_PA);
    flows.usedM3PerS = (taps + own) * root;
    flows.houseLeakM3PerS = leakFlow(condition.houseLeak, p);
    flows.lineLeakM3PerS = leakFlow(condition.lineLeak, p);
    const reseat = this.#design.reliefReseatPa + condition.reliefOpensShiftPa;
    const over = this.reliefOpen ? Math.max(0, p - reseat) : 0;
    flows.reliefM3PerS = over * this.#design.reliefGainM3PerSPa;
    return flows.usedM3PerS + flows.houseLeakM3PerS + flows.lineLeakM3PerS + flows.reliefM3PerS;
  }

  /** One step with `inflowM3PerS` arriving from the well side (negative where it runs back). */
  step(
    dtS: number,
    inflowM3PerS: number,
    tapConductance: number,
    roomK: number,
    condition: Condition,
  ): void {
    this.#shiftGas(dtS, condition);
    const tank = this.tank;
    const heat = gasConductance(tank, this.#design.tankHeat);
    const friction = this.#design.teeFriction / condition.tankValveShare ** 2;
    const elastic = this.#design.pipeElasticityM3PerPa / dtS;
    const before = this.pressurePa;
    const rest = (p: number) =>
      inflowM3PerS - this.#outflow(p, tapConductance, condition) - elastic * (p - before);

    let q = this.#solveTankFlow(dtS, heat, friction, rest);
    let p = this.#teePressure(q, dtS, heat, friction);
    const emptyAt = -(tank.volumeM3 - tank.gasM3) / dtS;
    if (q <= emptyAt || !Number.isFinite(p)) {
      q = Math.min(emptyAt, 0);
      p = this.#solvePressure(q, rest);
    }
    // The books close exactly: the tank takes what the other ways leave.
    const out = this.#outflow(p, tapConductance, condition);
    const exact = inflowM3PerS - out - elastic * (p - before);
    if (q > emptyAt) q = exact;
    else this.#absorb(exact - q);
    this.flows.tankM3PerS = q;
    const toM3 = Math.min(tank.gasM3 - q * dtS, tank.volumeM3);
    stepTank(
      tank,
      this.#design.tankHeat,
      { toM3, dtS, roomK, conductanceWPerK: heat },
      this.exchange,
    );
    this.pressurePa = p;
    this.#relief(condition);
  }

  /** Residual of the pressure solve, m3/s, goes to the taps: it is below 1e-12. */
  #absorb(residualM3PerS: number): void {
    this.flows.usedM3PerS += residualM3PerS;
  }

  #relief(condition: Condition): void {
    const opens = this.#design.reliefPaGauge + condition.reliefOpensShiftPa;
    const reseat = this.#design.reliefReseatPa + condition.reliefOpensShiftPa;
    if (this.pressurePa > opens) this.reliefOpen = true;
    else if (this.pressurePa < reseat) this.reliefOpen = false;
  }

  /** Air set at once, as a person does it with the water out. */
  setAir(share: number): void {
    const tank = this.tank;
    tank.gasKg = this.chargedKg * share;
    tank.gasPa = (tank.gasKg * AIR_GAS_CONSTANT_J_PER_KG_K * tank.gasK) / tank.gasM3;
  }

  /** Air that escapes or is let in, over about half an hour. */
  #shiftGas(dtS: number, condition: Condition): void {
    const goal = this.chargedKg * condition.gasShare;
    const tank = this.tank;
    if (Math.abs(goal - tank.gasKg) < 1e-12) return;
    tank.gasKg += (goal - tank.gasKg) * (1 - Math.exp(-dtS / 1800));
    tank.gasPa = (tank.gasKg * AIR_GAS_CONSTANT_J_PER_KG_K * tank.gasK) / tank.gasM3;
  }

  #teePressure(q: number, dtS: number, heat: number, friction: number): number {
    const tank = this.tank;
    const toM3 = tank.gasM3 - q * dtS;
    const gasK = gasTemperatureAfter(tank, heat, toM3, dtS);
    const gasPa = (tank.gasKg * AIR_GAS_CONSTANT_J_PER_KG_K * gasK) / toM3;
    return gasPa - this.#design.atmospherePa + friction * q * Math.abs(q);
  }

  /** Flow into the tank at which the tee's balance closes: falling in q, by safeguarded secant. */
  #solveTankFlow(dtS: number, heat: number, friction: number, rest: (p: number) => number): number {
    const tank = this.tank;
    const limit = (0.9 * tank.gasM3) / dtS;
    let q = Math.min(this.flows.tankM3PerS, limit);
    for (let i = 0; i < 30; i++) {
      const p = this.#teePressure(q, dtS, heat, friction);
      const r = rest(p) - q;
      if (Math.abs(r) < 1e-13) break;
      const h = 1e-3 * 1e5;
      const slopeP = (rest(p + h) - rest(p)) / h;
      const perFlow = (1.3 * tank.gasPa * dtS) / tank.gasM3 + 2 * friction * Math.abs(q);
      const step = r / (1 - slopeP * perFlow);
      q = Math.min(q + step, limit);
      if (Math.abs(step) < 1e-15) break;
    }
    return q;
  }

  /** Tee pressure with the tank's flow given (empty tank), by bisection on a falling balance. */
  #solvePressure(q: number, rest: (p: number) => number): number {
    let low = -1e5;
    let high = this.tank.gasPa + 1e6;
    for (let i = 0; i < 60; i++) {
      const middle = 0.5 * (low + high);
      if (rest(middle) - q > 0) low = middle;
      else high = middle;
    }
    return 0.5 * (low + high);
  }
}
