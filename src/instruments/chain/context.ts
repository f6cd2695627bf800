import type { Well } from '../../model/well.ts';
import type { ChainContext } from './types.ts';

/**
 * Greatest current of the first cycles over the running current, rms: motors start at 3 to 6.5
 * times (common practice); the most is what a chain has to hold.
 */
const INRUSH_OVER_RUN = 6.5;

/** What the chain of a well has to measure. */
export function contextOf(well: Well): ChainContext {
  const { equipment, units } = well;
  const run = equipment.serviceFactorCurrentA ?? equipment.fullLoadCurrentA;
  return {
    units,
    cutInPaGauge: equipment.cutInPaGauge?.value ?? null,
    cutOutPaGauge: equipment.cutOutPaGauge?.value ?? null,
    reliefPaGauge: equipment.reliefPaGauge?.value ?? null,
    runA: run?.value ?? null,
    inrushA: run === null ? null : INRUSH_OVER_RUN * run.value,
    assumed: run === null ? [] : [`a start: ${INRUSH_OVER_RUN} times the running current`],
  };
}
