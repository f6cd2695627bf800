import { DAY_S } from '../constants.ts';
import { type Aquifer, type AquiferDesign, type AquiferState, createAquifer } from './aquifer.ts';

/** Another well in the same aquifer, and when it pumps. */
export interface NeighbourWell {
  distanceM: number;
  flowM3PerS: number;
  /** Local hours between which it pumps, every day. */
  fromHour: number;
  toHour: number;
}

const STEP_S = 60;
const SHELLS = 40;
const BORE_M = 0.1;
const OPEN = { fractureM: Number.POSITIVE_INFINITY, skinFactor: 1 };

/**
 * What the neighbours' pumping takes off our level: each draws down shells of its own round its
 * own bore, and we stand in one of them; drawdowns add up. Source of the sum: the equation of
 * flow is linear (C. V. Theis 1935).
 */
export class Neighbours {
  readonly #wells: { well: NeighbourWell; aquifer: Aquifer; state: AquiferState }[];
  readonly #offsetS: number;
  readonly #reachM: number;
  #timeS: number;
  #drawdownM = 0;

  constructor(
    wells: readonly NeighbourWell[],
    ours: AquiferDesign,
    from: { startS: number; offsetS: number },
  ) {
    const design: AquiferDesign = {
      ...ours,
      boreRadiusM: BORE_M,
      casingAreaM2: Math.PI * BORE_M ** 2,
      shells: SHELLS,
    };
    this.#wells = wells.map((well) => {
      const aquifer = createAquifer(design);
      return { well, aquifer, state: aquifer.create() };
    });
    this.#reachM = ours.rechargeRadiusM;
    this.#offsetS = from.offsetS;
    this.#timeS = from.startS;
  }

  /** Drawdown at our bore, m; times never go back. */
  at(timeS: number): number {
    if (this.#wells.length === 0) return 0;
    while (this.#timeS + STEP_S <= timeS) {
      this.#timeS += STEP_S;
      this.#step();
    }
    return this.#drawdownM;
  }

  #step(): void {
    const hour = (((this.#timeS - STEP_S + this.#offsetS) % DAY_S) / DAY_S) * 24;
    this.#drawdownM = 0;
    for (const { well, aquifer, state } of this.#wells) {
      const pumps = hour >= well.fromHour && hour < well.toHour;
      aquifer.step(state, pumps ? well.flowM3PerS : 0, STEP_S, OPEN);
      this.#drawdownM += this.#seenFrom(well.distanceM, state);
    }
  }

  /** Between the nodes of the shells, straight in log r; nothing beyond where recharge holds. */
  #seenFrom(distanceM: number, state: AquiferState): number {
    const spacing = Math.log(this.#reachM / BORE_M) / SHELLS;
    const place = Math.log(distanceM / BORE_M) / spacing - 0.5;
    const i = Math.min(Math.max(Math.floor(place), 0), SHELLS - 1);
    const inner = state.shellM[i]!;
    const outer = state.shellM[i + 1] ?? 0;
    // The boundary lies half a spacing beyond the last node.
    const share = (place - i) / (i === SHELLS - 1 ? 0.5 : 1);
    return inner + Math.min(share, 1) * (outer - inner);
  }
}
