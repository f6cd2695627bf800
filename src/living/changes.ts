import type { WellNow } from '../model/well-now.ts';

/** As much as a keeper would see on a gauge. */
const PRESSURE_PA = 2000;
const CURRENT_A = 0.3;
/** Told again after this whatever has changed, s of reading time. */
const LONGEST_S = 60;

/** Whether it is worth telling how things stand, after what was told last. */
export function isWorthTelling(before: WellNow | null, now: WellNow): boolean {
  if (before === null) return true;
  if (said(before) !== said(now)) return true;
  const sinceS = (Date.parse(now.at ?? '') - Date.parse(before.at ?? '')) / 1000;
  if (sinceS >= LONGEST_S || sinceS < 0) return true;
  return (
    differs(before.pressurePaGauge, now.pressurePaGauge, PRESSURE_PA) ||
    differs(before.currentA, now.currentA, CURRENT_A) ||
    differs(before.flowM3PerS, now.flowM3PerS, 2 * (now.flowM3PerSStd ?? Infinity))
  );
}

/** Everything that is told in words and not by degrees. */
function said({ pump, silence, replay, clocks, day, findings, test, unknown }: WellNow): string {
  return JSON.stringify([
    pump.on,
    silence === null ? null : [silence.since, silence.urgency],
    replay === null,
    clocks.map(({ device, apartUntil }) => [device, apartUntil]),
    day?.date,
    day?.open,
    findings.map(({ id, fault, probability }) => [id, fault, Math.round(10 * probability)]),
    test === null ? null : [test.what, test.start, test.fastEnough],
    unknown.map(({ field }) => field),
  ]);
}

const differs = (a: number | null, b: number | null, by: number): boolean =>
  a === null || b === null ? a !== b : Math.abs(a - b) >= by;
