import { utcOffsetS } from '../base/zone.ts';
import type { QuietHours } from '../model/alarm-settings.ts';

const DAY_S = 86_400;

/** Whether an instant lies in the quiet hours of a zone; they may run over midnight. */
export function isQuiet(quiet: QuietHours | null, zone: string, atS: number): boolean {
  if (quiet === null) return false;
  const localS = atS + utcOffsetS(zone, atS);
  const clockS = localS - Math.floor(localS / DAY_S) * DAY_S;
  const { fromS, toS } = quiet;
  return fromS < toS ? clockS >= fromS && clockS < toS : clockS >= fromS || clockS < toS;
}
