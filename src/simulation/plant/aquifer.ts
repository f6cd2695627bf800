/** Aquifer and bore as they are. */
export interface AquiferDesign {
  transmissivityM2PerS: number;
  storativity: number;
  boreRadiusM: number;
  /** Where recharge holds the level, m. */
  rechargeRadiusM: number;
  shells: number;
  /** Free area of the casing round the drop pipe, m2. */
  casingAreaM2: number;
  /** Well loss: skin B, s/m2, and turbulence C, s2/m5. */
  skinSPerM2: number;
  turbulenceS2PerM5: number;
}

export interface AquiferState {
  /** Drawdown in the casing, m, and in each shell, from the bore outwards. */
  casingM: number;
  shellM: Float64Array;
  /** Flow from the aquifer into the casing in the last step, m3/s. */
  inflowM3PerS: number;
  /** Flow over the recharge boundary in the last step, m3/s. */
  rechargeM3PerS: number;
}

export interface Aquifer {
  readonly design: AquiferDesign;
  /** Storage of each shell, m3 per m of drawdown. */
  readonly shellAreaM2: Float64Array;
  create(): AquiferState;
  /**
   * One step with `takenM3PerS` out of the casing. Below `fractureM` of drawdown the fracture
   * stands free and its yield no longer grows. `skinFactor` is clogging of the screen.
   */
  step(state: AquiferState, takenM3PerS: number, dtS: number, at: WellFace): void;
}

export interface WellFace {
  fractureM: number;
  skinFactor: number;
}

/**
 * Radial flow to a well with casing storage: shells spaced evenly in log r, flow between them by
 * Thiem, storage by S, held level at the outer radius, all solved together by one backward Euler
 * step. Well loss s = B Q + C Q^2. Exact in mass by its form.
 * Sources: G. Thiem 1906; C. E. Jacob 1947 (well loss); Papadopulos & Cooper 1967 (casing).
 */
export function createAquifer(design: AquiferDesign): Aquifer {
  const n = design.shells;
  const ratio = (design.rechargeRadiusM / design.boreRadiusM) ** (1 / n);
  const between = (2 * Math.PI * design.transmissivityM2PerS) / Math.log(ratio);
  const shellAreaM2 = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    // Shell i lies between the bore radius times ratio^i and ratio^(i+1), its node in the middle.
    const inner = design.boreRadiusM * ratio ** i;
    shellAreaM2[i] = design.storativity * Math.PI * inner * inner * (ratio * ratio - 1);
  }
  // From the bore wall to the first node, and from the last node to the boundary, half a spacing.
  const half = 2 * between;
  const upper = new Float64Array(n + 1);
  const rhs = new Float64Array(n + 1);

  const solve = (state: AquiferState, takenM3PerS: number, dtS: number, at: WellFace): void => {
    const skin = design.skinSPerM2 * at.skinFactor;
    const turbulence = design.turbulenceS2PerM5 * at.skinFactor;
    const wellOhm = skin + turbulence * Math.abs(state.inflowM3PerS) + 1 / half;
    const free = state.casingM > at.fractureM;
    const g = 1 / wellOhm;
    const casing = design.casingAreaM2 / dtS;
    // Thomas algorithm over casing then shells; a free-standing fracture cuts the casing loose.
    const coupling = free ? 0 : g;
    let diagonal = casing + coupling;
    upper[0] = -coupling / diagonal;
    const freeFlow = free ? 1 : 0;
    rhs[0] = (casing * state.casingM + takenM3PerS) / diagonal;
    for (let i = 0; i < n; i++) {
      const storage = shellAreaM2[i]! / dtS;
      const left = i === 0 ? g : between;
      const right = i === n - 1 ? half : between;
      const lower = i === 0 ? -coupling : -between;
      let known = storage * state.shellM[i]!;
      if (i === 0 && freeFlow === 1) known += g * at.fractureM;
      diagonal = storage + left + right - lower * upper[i]!;
      upper[i + 1] = i === n - 1 ? 0 : -right / diagonal;
      rhs[i + 1] = (known - lower * rhs[i]!) / diagonal;
    }
    for (let i = n - 1; i >= 0; i--) rhs[i] = rhs[i]! - upper[i]! * rhs[i + 1]!;
    state.inflowM3PerS = g * ((free ? at.fractureM : rhs[0]!) - rhs[1]!);
    if (free)
      rhs[0] = state.casingM + ((takenM3PerS - state.inflowM3PerS) * dtS) / design.casingAreaM2;
    state.rechargeM3PerS = half * rhs[n]!;
    state.casingM = rhs[0]!;
    for (let i = 0; i < n; i++) state.shellM[i] = rhs[i + 1]!;
  };
  return {
    design,
    shellAreaM2,
    create: () => ({
      casingM: 0,
      shellM: new Float64Array(n),
      inflowM3PerS: 0,
      rechargeM3PerS: 0,
    }),
    step: solve,
  };
}
