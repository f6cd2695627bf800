import type { Found, Job } from './types.ts';

/** The tank's whole volume: tank constant over precharge, where a bucket test gave the first. */
export function tankVolume(job: Job, prechargePaGauge: number, stdPa: number): Found[] {
  const { tankConstantPaM3, tankRelStd, known } = job;
  const absolute = prechargePaGauge + known.atmospherePa;
  // By nameplate the constant is made of that volume, and says nothing new of it.
  if (Number.isNaN(tankConstantPaM3) || tankRelStd > 0.05 || !(prechargePaGauge > 0)) return [];
  const value = tankConstantPaM3 / absolute;
  return [
    {
      what: 'volume of the tank',
      value,
      std: value * Math.hypot(tankRelStd, stdPa / absolute),
      unit: 'm3',
    },
  ];
}
