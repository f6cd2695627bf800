import type { Rehearsal } from '../../simulation/rehearse.ts';
import type { Row } from '../../simulation/sensing/row.ts';
import { UsageError } from '../usage.ts';

/** Rows of one sending at most. */
const PACK_ROWS = 200;
const TICK_MS = 500;

/** A row as a pack of its own: SenML JSON (RFC 8428) with the device's `boot` and `seq`. */
function senmlOf(row: Row): object[] {
  const value = (n: string, u: string, v: number | null) => (v === null ? [] : [{ n, u, v }]);
  const records: object[] = [
    ...value('pressure', 'Pa', row.pressurePaGauge),
    ...value('current', 'A', row.currentA),
    ...value('current-peak', 'A', row.currentPeakA),
    ...value('start-time', 's', row.startTimeS),
    ...value('mains', 'V', row.mainsV),
    { n: 'boot', v: row.boot },
    { n: 'seq', v: row.seq },
    { n: 'uptime', u: 's', v: row.uptimeS },
  ];
  return records.map((record, i) => (i === 0 ? { bt: row.timeS, ...record } : record));
}

export interface Sending {
  address: string;
  startS: number;
  endS: number;
  /** Rehearsed seconds in a second. */
  speed: number;
  post: typeof fetch;
}

/** Sends what the device reports as time goes by; rows that were not taken are sent again. */
export async function sendLive(rehearsal: Rehearsal, sending: Sending): Promise<number> {
  const waiting: Row[] = [];
  const began = performance.now();
  let sent = 0;
  for (let t = sending.startS; t < sending.endS || waiting.length > 0; ) {
    t = Math.min(
      sending.endS,
      sending.startS + ((performance.now() - began) / 1000) * sending.speed,
    );
    rehearsal.runUntil(t, (row) => waiting.push(row));
    while (waiting.length > 0 && (await taken(waiting.slice(0, PACK_ROWS), sending))) {
      sent += waiting.splice(0, PACK_ROWS).length;
    }
    await new Promise((resolve) => setTimeout(resolve, TICK_MS));
  }
  return sent;
}

/** True where the service has every row; false where it cannot be reached and time may help. */
async function taken(rows: Row[], { address, post }: Sending): Promise<boolean> {
  for (const row of rows) {
    const answer = await post(address, {
      method: 'POST',
      headers: { 'content-type': 'application/senml+json' },
      body: JSON.stringify(senmlOf(row)),
    }).catch(() => null);
    if (answer === null || answer.status >= 500) return false;
    if (!answer.ok) {
      throw new UsageError(
        `${address}: expected 200, found ${answer.status} ${await answer.text()}`,
      );
    }
  }
  return true;
}
