import { WATER_PA_PER_M } from '../constants.ts';

/** A multistage centrifugal pump as built. */
export interface PumpDesign {
  ratedFlowM3PerS: number;
  shutOffHeadM: number;
  /** Head at rated flow over head at shut-off. */
  ratedHeadShare: number;
  /** Flow over rated flow at which no head is left. */
  runOutShare: number;
  ratedEfficiency: number;
  /** Shaft power at shut-off over shaft power at rated flow. */
  shutOffPowerShare: number;
  /** Wear-ring leakage at shut-off head, share of rated flow. */
  leakShare: number;
  /** Slope of the Euler head line with its slip, share of shut-off head at rated flow. */
  eulerSlope: number;
  /** Flow without shock at the vanes, share of rated flow. */
  shocklessShare: number;
  /** Speed at which the design holds, rad/s. */
  speedRadPerS: number;
}

/** What age has done to the pump. */
export interface PumpWear {
  /** Wear-ring leakage over the new pump's. */
  leakFactor: number;
  /** Loss of impeller diameter, share. */
  diameterLoss: number;
}

export interface Pump {
  readonly design: PumpDesign;
  /** Head, m, at a delivered flow and a speed over design speed. Negative past run-out. */
  headM(flowM3PerS: number, speedRatio: number, wear: PumpWear): number;
  /** Power at the shaft, W. */
  shaftPowerW(flowM3PerS: number, speedRatio: number, wear: PumpWear): number;
}

/** Losses of passages follow a smooth-wall power of the flow, shock follows the square. */
const FRICTION_EXPONENT = 1.75;

/** Solves three linear equations by Cramer's rule. */
function solve3(m: number[][], y: number[]): [number, number, number] {
  const det = (p: number[][]) =>
    p[0]![0]! * (p[1]![1]! * p[2]![2]! - p[1]![2]! * p[2]![1]!) -
    p[0]![1]! * (p[1]![0]! * p[2]![2]! - p[1]![2]! * p[2]![0]!) +
    p[0]![2]! * (p[1]![0]! * p[2]![1]! - p[1]![1]! * p[2]![0]!);
  const all = det(m);
  const part = (k: number) =>
    det(m.map((row, i) => row.map((v, j) => (j === k ? y[i]! : v)))) / all;
  return [part(0), part(1), part(2)];
}

/**
 * Pump of the Euler family: head of an impeller is the slip-corrected Euler line less friction
 * in the passages less shock away from the shockless flow, and the wear rings let part of the
 * impeller's flow back:
 *   h(xi) = a n2 - b n xi - f xi^1.75 - c (xi - xs n)^2,  xi = x + k sqrt(h),
 * x flow over rated flow, h head over shut-off head, n speed ratio. Shaft power is impeller flow
 * times Euler head, plus disk friction n3, plus recirculation n (n - xi)^2 below rated flow.
 * Valid 0 <= x <= about 1.8. Source: A. J. Stepanoff, Centrifugal and Axial Flow Pumps, 2nd ed.
 * 1957, chapters 3 and 9 (Euler head, slip, loss split; from memory).
 */
export function createPump(design: PumpDesign): Pump {
  const b = design.eulerSlope;
  const xs = design.shocklessShare;
  const leak = design.leakShare;
  const at = [
    { xi: leak, h: 1 },
    { xi: 1 + leak * Math.sqrt(design.ratedHeadShare), h: design.ratedHeadShare },
    { xi: design.runOutShare, h: 0 },
  ];
  const [a, f, c] = solve3(
    at.map((p) => [1, -(p.xi ** FRICTION_EXPONENT), -((p.xi - xs) ** 2)]),
    at.map((p) => p.h + b * p.xi),
  );
  const ratedPower = design.ratedHeadShare / design.ratedEfficiency;
  const euler = (xi: number) => xi * (a - b * xi);
  const below = (xi: number) => Math.max(0, 1 - xi) ** 2;
  const shutOffRest = design.shutOffPowerShare * ratedPower - euler(at[0]!.xi);
  const ratedRest = ratedPower - euler(at[1]!.xi);
  const recirculation = (shutOffRest - ratedRest) / (below(at[0]!.xi) - below(at[1]!.xi));
  const disk = ratedRest - recirculation * below(at[1]!.xi);
  const powerScale = WATER_PA_PER_M * design.ratedFlowM3PerS * design.shutOffHeadM;

  // A smaller impeller is a slower one: its tip speed falls with its diameter.
  const tip = (n: number, wear: PumpWear) => n * (1 - wear.diameterLoss);
  const impellerHead = (xi: number, n: number) => {
    const flow = Math.max(xi, 0);
    return a * n * n - b * n * xi - f * flow ** FRICTION_EXPONENT - c * (xi - xs * n) ** 2;
  };
  const solveHead = (x: number, n: number, wear: PumpWear): number => {
    const k = leak * wear.leakFactor;
    let h = Math.max(impellerHead(x, n), 0);
    for (let i = 0; i < 12; i++) {
      const next = impellerHead(x + k * Math.sqrt(Math.max(h, 0)), n);
      const change = next - h;
      // Near run-out the ring flow reacts strongly to head: half steps keep it from hunting.
      h += (next > 0.05 ? 1 : 0.5) * change;
      if (Math.abs(change) < 1e-9) break;
    }
    return h;
  };
  return {
    design,
    headM: (flow, n, wear) =>
      design.shutOffHeadM * solveHead(flow / design.ratedFlowM3PerS, tip(n, wear), wear),
    shaftPowerW: (flow, speedRatio, wear) => {
      const n = tip(speedRatio, wear);
      const x = flow / design.ratedFlowM3PerS;
      const k = leak * wear.leakFactor;
      const xi = x + k * Math.sqrt(Math.max(solveHead(x, n, wear), 0));
      const eulerPart = xi * Math.max(a * n * n - b * n * xi, 0);
      const shape = eulerPart + disk * n ** 3 + recirculation * n * Math.max(0, n - xi) ** 2;
      return powerScale * shape;
    },
  };
}
