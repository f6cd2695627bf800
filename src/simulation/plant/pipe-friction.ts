import { GRAVITY_M_PER_S2, WATER_KINEMATIC_M2_PER_S } from '../constants.ts';

export interface PipeRun {
  lengthM: number;
  insideDiameterM: number;
  roughnessM: number;
  /** Sum of loss coefficients of valves and fittings. */
  minorLossK: number;
}

/**
 * Friction head of a full pipe, m, by Darcy-Weisbach with Swamee-Jain's factor; laminar 64/Re
 * below Re 2000, linear between 2000 and 4000. Flow m3/s, sign kept; water near 10 degC.
 * Valid 5e3 <= Re <= 1e8, roughness 1e-6 to 1e-2 of the diameter.
 * Source: Swamee & Jain, J. Hydraul. Div. ASCE 102 (1976) HY5, 657-664.
 */
export function pipeFrictionM(pipe: PipeRun, flowM3PerS: number): number {
  const flow = Math.abs(flowM3PerS);
  if (flow < 1e-12) return 0;
  const d = pipe.insideDiameterM;
  const velocity = flow / (0.25 * Math.PI * d * d);
  const reynolds = (velocity * d) / WATER_KINEMATIC_M2_PER_S;
  const factor = frictionFactor(pipe.roughnessM / d, reynolds);
  const head =
    ((factor * pipe.lengthM) / d + pipe.minorLossK) *
    ((velocity * velocity) / (2 * GRAVITY_M_PER_S2));
  return flowM3PerS < 0 ? -head : head;
}

function turbulentFactor(roughness: number, reynolds: number): number {
  return 0.25 / Math.log10(roughness / 3.7 + 5.74 / reynolds ** 0.9) ** 2;
}

function frictionFactor(roughness: number, reynolds: number): number {
  if (reynolds <= 2000) return 64 / reynolds;
  if (reynolds >= 4000) return turbulentFactor(roughness, reynolds);
  const share = (reynolds - 2000) / 2000;
  return (1 - share) * (64 / 2000) + share * turbulentFactor(roughness, 4000);
}
