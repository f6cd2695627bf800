import { headLossHazenWilliamsM } from '../../physics/hydraulics/head-loss-hazen-williams.ts';
import { minorLossM } from '../../physics/hydraulics/minor-loss.ts';
import { assumed, type Given } from './result.ts';
import type { Site } from './site.ts';

/** Hazen-Williams coefficients and their spread (EPANET 2 manual, Table 3.2; from memory). */
const COEFFICIENT = {
  plastic: { value: 140, std: 5 },
  copper: { value: 135, std: 5 },
  steel: { value: 110, std: 12 },
} as const;

/** Fittings of a house well and their loss coefficients (EPANET 2 manual, Table 3.3). */
const FITTINGS = [
  { what: 'check valve', count: 1, each: 2.5 },
  { what: 'elbows', count: 4, each: 0.9 },
  { what: 'tee through its run', count: 1, each: 0.6 },
  { what: 'exit', count: 1, each: 1.0 },
] as const;

export function pipeInputs(site: Site): Record<'L' | 'd' | 'C', Given> {
  const { pipeMaterial } = site.equipment;
  const { value, std } = COEFFICIENT[pipeMaterial ?? 'plastic'];
  const because = pipeMaterial ? `pipe.material is ${pipeMaterial}` : 'plastic: no pipe.material';
  return {
    L: site.get('pipeLengthM'),
    d: site.get('pipeInsideDiameterM'),
    C: assumed('Hazen-Williams C', value, { std, kind: 'number', because }),
  };
}

export function fittings(): Given {
  const value = FITTINGS.reduce((sum, { count, each }) => sum + count * each, 0);
  const parts = FITTINGS.map(({ what, count, each }) => `${count} ${what} ${each}`).join(', ');
  return assumed('loss coefficients', value, {
    std: value / 3,
    kind: 'number',
    because: `fittings of a house well: ${parts}`,
  });
}

/** Friction of the pipe and loss in its fittings at a flow, m. */
export function pipeLossM(
  flowM3PerS: number,
  { L, d, C, K }: { L: number; d: number; C: number; K: number },
): number {
  const pipe = { flowM3PerS, coefficient: C, insideDiameterM: d, lengthM: L };
  return (
    headLossHazenWilliamsM(pipe) + minorLossM({ coefficient: K, flowM3PerS, insideDiameterM: d })
  );
}
