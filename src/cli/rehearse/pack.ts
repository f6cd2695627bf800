import type { Row } from '../../simulation/sensing/row.ts';
import type { ExtraChannel } from './scenario-file.ts';

/** RFC 8428, section 4.5.3: smaller times count from now. */
const LEAST_ABSOLUTE_S = 2 ** 28;

interface SenmlOut {
  n: string;
  u?: string;
  v: number;
  bt?: number;
}

const EXTRA: Record<ExtraChannel, { u: string; of: (row: Row) => number | null }> = {
  'current-peak': { u: 'A', of: (row) => row.currentPeakA },
  'start-time': { u: 's', of: (row) => row.startTimeS },
  mains: { u: 'V', of: (row) => row.mainsV },
  'air-temperature': { u: 'K', of: (row) => row.airK },
};

/**
 * A row as a pack of its own: SenML JSON (RFC 8428) with the device's `boot`, `seq` and `uptime`. A
 * device whose clock is not set gives no time.
 */
export function packOf(row: Row, channels: readonly ExtraChannel[]): string {
  const records: SenmlOut[] = [];
  const add = (n: string, u: string, v: number | null) => {
    if (v !== null) records.push({ n, u, v });
  };
  add('pressure', 'Pa', row.pressurePaGauge);
  add('current', 'A', row.currentA);
  for (const channel of channels) add(channel, EXTRA[channel].u, EXTRA[channel].of(row));
  records.push({ n: 'boot', v: row.boot }, { n: 'seq', v: row.seq });
  records.push({ n: 'uptime', u: 's', v: row.uptimeS });
  if (row.timeS >= LEAST_ABSOLUTE_S) records[0]!.bt = row.timeS;
  return JSON.stringify(records);
}
