import { cutInOf, wantedPrecharge, weighAir } from './tank-air.ts';
import { tankVolume } from './tank-volume.ts';
import type { Found, Job, TestOutcome } from './types.ts';

/** The air valve read with a gauge, against what the switch wants. */
export function evaluatePrecharge(job: Job): TestOutcome {
  const { startS, stopS, measured } = job.test;
  const outcome = { test: 'precharge', startS, stopS } as const;
  const valuePaGauge = measured.pressurePaGauge!;
  const stdPa = measured.pressurePaGaugeStd!;
  const found: Found[] = [
    { what: 'precharge by the gauge', value: valuePaGauge, std: stdPa, unit: 'Pa' },
    ...tankVolume(job, valuePaGauge, stdPa),
  ];
  if (Number.isNaN(cutInOf(job))) {
    const unusable = 'neither the log nor the well file says at what pressure the pump cuts in';
    return { ...outcome, unusable, found, bearing: [] };
  }
  found.push({ what: 'precharge wanted', value: wantedPrecharge(job), std: null, unit: 'Pa' });
  const bearing = weighAir(job, { valuePaGauge, stdPa, isBelow: false });
  return { ...outcome, unusable: null, found, bearing };
}
