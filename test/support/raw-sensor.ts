import { gzipSync } from 'node:zlib';
import type { RehearsedLog } from './rehearsed-log.ts';

export const PSI_PA = 6894.757293168361;

/** A sensor of 0.5 V to 4.5 V for 100 psi by its papers, 0.2 V too high and 4 % flat. */
const voltsOf = (pa: number): number => 0.7 + (0.96 * 0.04 * pa) / PSI_PA;

/** A device that sends volts of such a sensor, and amps, from a rehearsed log. */
export async function sendRaw(
  on: { api: string },
  log: RehearsedLog,
  { fromS, toS, wellId = log.well.id }: { fromS: number; toS: number; wellId?: string },
): Promise<void> {
  const records = log.timeS.flatMap((t, i) => {
    if (t < fromS || t >= toS) return [];
    const value = log.value[i]!;
    return log.channel[i] === 0
      ? [{ n: 'pressure-raw', u: 'V', t, v: voltsOf(value) }]
      : [{ n: 'current', u: 'A', t, v: value }];
  });
  for (let at = 0; at < records.length; at += 2000)
    await fetch(`${on.api}/wells/${wellId}/readings`, {
      method: 'POST',
      headers: { 'content-type': 'application/senml+json', 'content-encoding': 'gzip' },
      body: gzipSync(JSON.stringify(records.slice(at, at + 2000))),
    });
}

/** What a good gauge shows at a time, psi: the mean of the true pressure; null while it moves. */
export function gaugeOf(log: RehearsedLog): (timeS: number) => number | null {
  const pressure = log.timeS.flatMap((timeS, i) =>
    log.channel[i] === 0 ? [{ timeS, psi: log.value[i]! / PSI_PA }] : [],
  );
  return (timeS) => {
    const near = pressure.filter((one) => one.timeS > timeS - 20 && one.timeS < timeS);
    const psi = near.map((one) => one.psi);
    const mean = psi.reduce((sum, one) => sum + one, 0) / psi.length;
    return Math.max(...psi) - Math.min(...psi) < 0.8 ? mean : null;
  };
}
