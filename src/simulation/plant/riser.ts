import { GRAVITY_M_PER_S2, WATER_PA_PER_M } from '../constants.ts';
import type { Condition } from '../faults/condition.ts';
import type { Random } from '../random.ts';
import type { PlantDesign } from './design.ts';
import type { Drive } from './drive.ts';
import { pipeFrictionM } from './pipe-friction.ts';

/** How often a worn check valve happens to seat (common practice: 0.2 to 0.8). */
const SEATS_WELL = 0.2;

/** What the drop pipe stands between. */
export interface RiserEnds {
  drive: Drive;
  /** Depth to the water in the casing, m, and pressure at the tee, Pa gauge. */
  levelM: number;
  teePa: number;
  gas: number;
  condition: Condition;
}

/** Drop pipe with its check valve: what the pump lifts, what runs back, what reaches the tee. */
export class Riser {
  pumpM3PerS = 0;
  backM3PerS = 0;
  toTeeM3PerS = 0;
  /** Air in a pipe that has drained under a check valve at the surface, m3. */
  airM3 = 0;
  readonly #design: PlantDesign;
  readonly #random: Random;
  readonly #volumeM3: number;
  readonly #areaM2: number;
  #seat = 1;

  constructor(design: PlantDesign, random: Random) {
    this.#design = design;
    this.#random = random;
    this.#areaM2 = 0.25 * Math.PI * design.riser.insideDiameterM ** 2;
    this.#volumeM3 = this.#areaM2 * design.riser.lengthM;
  }

  step(dtS: number, ends: RiserEnds): void {
    this.pumpM3PerS = this.#lifted(dtS, ends);
    this.backM3PerS = this.#runBack(dtS, ends);
    const net = this.pumpM3PerS - this.backM3PerS;
    this.toTeeM3PerS = net;
    if (!ends.condition.riserDrains && this.airM3 === 0) return;
    // The check valve at the surface holds the house's water; the pipe below fills or drains.
    const air = this.airM3 - net * dtS;
    this.airM3 = Math.max(air, 0);
    this.toTeeM3PerS = air < 0 ? -air / dtS : 0;
  }

  /** Head against the pump at no flow, m: a pipe full of air is lifted into, not against. */
  #liftM(ends: RiserEnds): number {
    const height = ends.levelM + this.#design.teeAboveGroundM;
    if (this.airM3 > 0) return height * (1 - this.airM3 / this.#volumeM3);
    return height + ends.teePa / WATER_PA_PER_M;
  }

  /** Flow by backward Euler: mass of the water against head of the pump less lift and losses. */
  #lifted(dtS: number, ends: RiserEnds): number {
    const { drive, condition } = ends;
    const riser = this.#design.riser;
    if (drive.speedRadPerS === 0 || condition.lineFrozen) return 0;
    const inertia = riser.lengthM / (GRAVITY_M_PER_S2 * this.#areaM2 * dtS);
    const lift = this.#liftM(ends);
    const rated = this.#design.pump;
    const choke =
      (condition.chokeShare * rated.shutOffHeadM * rated.ratedHeadShare) /
      rated.ratedFlowM3PerS ** 2;
    const before = this.pumpM3PerS;
    const surplus = (q: number) =>
      drive.headM(q, condition, ends.gas) -
      lift -
      pipeFrictionM(riser, q) -
      choke * q * q -
      inertia * (q - before);
    let q = before;
    let f = surplus(q);
    const h = 1e-3 * rated.ratedFlowM3PerS;
    for (let i = 0; i < 12 && Math.abs(f) > 1e-7; i++) {
      const slope = (surplus(q + h) - f) / h;
      const step = -f / Math.min(slope, -0.3 * inertia - 1);
      const most = 2.2 * condition.pumpScale * rated.ratedFlowM3PerS;
      const next = Math.min(Math.max(q + step, 0), most);
      if (next === q) break;
      q = next;
      f = surplus(q);
    }
    return q;
  }

  /** Flow down the drop pipe: through a check valve that does not seat, or a hole above it. */
  #runBack(dtS: number, ends: RiserEnds): number {
    const { condition } = ends;
    let back = 0;
    if (condition.checkLeakShare > 0 && this.pumpM3PerS === 0) {
      const rated = condition.checkLeakShare * this.#seat * this.#design.pump.ratedFlowM3PerS;
      back += rated * Math.sqrt(Math.max(this.#liftM(ends), 0) / 60);
    }
    if (condition.pipeHoleM3PerS > 0) {
      const depth = condition.pipeHoleDepthShare * ends.levelM;
      const inside = ends.teePa / WATER_PA_PER_M + depth + this.#design.teeAboveGroundM;
      back += condition.pipeHoleM3PerS * Math.sqrt(Math.max(inside, 0) / 50);
    }
    if (!condition.riserDrains) return back;
    return Math.min(back, Math.max(0, 0.98 * this.#volumeM3 - this.airM3) / dtS);
  }

  /** The pump has stopped: how the worn check valve seats this time. */
  reseat(condition: Condition): void {
    if (condition.checkLeakShare === 0) return;
    const lottery = this.#random.normal();
    this.#seat = this.#random.chance(SEATS_WELL) ? 0.05 : Math.exp(0.25 * lottery);
  }
}
