import type { Condition } from '../faults/condition.ts';
import type { Random } from '../random.ts';
import type { PlantDesign } from './design.ts';

/** The pressure switch: feels the tee through its nipple, and acts late and never twice alike. */
export class PressureSwitch {
  closed: boolean;
  /** Pressure under the diaphragm, Pa gauge. */
  feltPa: number;
  #cutInPa: number;
  #cutOutPa: number;
  #actsAtS = Number.POSITIVE_INFINITY;
  #chattersLeft = 0;
  readonly #design: PlantDesign;
  readonly #random: Random;

  constructor(design: PlantDesign, random: Random, pressurePa: number) {
    this.#design = design;
    this.#random = random;
    this.closed = false;
    this.feltPa = pressurePa;
    this.#cutInPa = design.cutInPaGauge;
    this.#cutOutPa = design.cutOutPaGauge;
    this.#scatter();
  }

  #scatter(): void {
    const sigma = this.#design.switchScatterPa;
    this.#cutInPa = this.#design.cutInPaGauge + sigma * this.#random.normal();
    this.#cutOutPa = this.#design.cutOutPaGauge + sigma * this.#random.normal();
  }

  /** Pressure at which the switch acts next, Pa gauge. */
  nextPa(condition: Condition): number {
    return this.closed
      ? this.#cutOutPa + condition.cutOutShiftPa
      : this.#cutInPa + condition.cutInShiftPa;
  }

  step(dtS: number, timeS: number, pressurePa: number, condition: Condition): void {
    if (!condition.nippleFrozen) {
      this.feltPa += (1 - Math.exp(-dtS / condition.nippleLagS)) * (pressurePa - this.feltPa);
    }
    if (condition.welded && this.closed) return;
    if (timeS >= this.#actsAtS) this.#act(timeS, condition);
    else if (this.#actsAtS === Number.POSITIVE_INFINITY && this.#wants(condition)) {
      this.#actsAtS = timeS + this.#design.contactLagS * this.#random.between(0.5, 1.5);
    }
  }

  #wants(condition: Condition): boolean {
    const at = this.nextPa(condition);
    return this.closed ? this.feltPa >= at : this.feltPa <= at;
  }

  #act(timeS: number, condition: Condition): void {
    this.#actsAtS = Number.POSITIVE_INFINITY;
    if (this.#chattersLeft > 0) {
      this.#chattersLeft--;
      this.closed = !this.closed;
      if (this.#chattersLeft > 0) this.#actsAtS = timeS + this.#random.between(0.05, 1.2);
      return;
    }
    this.closed = !this.closed;
    this.#scatter();
    if (this.closed && this.#random.chance(condition.chatter)) {
      // An even number of swings, so that the contacts end closed.
      this.#chattersLeft = 2 * (2 + Math.floor(6 * this.#random.uniform()));
      this.#actsAtS = timeS + this.#random.between(0.05, 0.6);
    }
  }

  /** Time until the pending action, s. */
  pendingS(timeS: number): number {
    return Math.max(this.#actsAtS - timeS, 0.005);
  }
}
