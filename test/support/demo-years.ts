import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { gunzipSync } from 'node:zlib';
import { movedDates } from '../../src/cli/demo/moved-year.ts';
import { CHANNELS, type ReadingBatch } from '../../src/model/reading.ts';
import { SqliteStore } from '../../src/store/sqlite/store.ts';
import { ROOT } from './source-scan.ts';

const DAY_S = 86_400;
const YEAR_DAYS = 365;
const WELL_ID = 'juniper-bench';
const DEMO = join(ROOT, 'demo', WELL_ID);
const ROWS_A_PACK = 5000;
/** Pa in a psi (NIST SP 811, appendix B.8). */
const PSI_PA = 6894.757;

/**
 * The service with the year of the demo log moved by whole days to end at the present, and the
 * same year before it again until there are so many; kept as if it had come in day by day.
 */
export async function demoYears(years: number) {
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-years-'));
  const nowS = Date.now() / 1000 - 5;
  const [, ...rows] = gunzipSync(readFileSync(`${DEMO}.csv.gz`))
    .toString()
    .trimEnd()
    .split('\n');
  const lastS = Number(rows.at(-1)!.split(',')[0]);
  // The last day is cut off at the present.
  const shiftDays = Math.ceil((nowS - lastS) / DAY_S);
  const file = join(folder, 'wellwright.sqlite');
  const store = new SqliteStore(file);
  for (let back = years - 1; back >= 0; back--) {
    const shiftS = (shiftDays - back * YEAR_DAYS) * DAY_S;
    for (let at = 0; at < rows.length; at += ROWS_A_PACK) {
      const readings = readingsOf(rows.slice(at, at + ROWS_A_PACK), shiftS, nowS);
      const pack = { wellId: WELL_ID, device: '', boot: null, seq: null, refused: [] };
      await store.keep([{ ...pack, arrivedS: nowS, readings }]);
    }
    await store.seal();
  }
  await store.close();
  const toml = join(folder, `${WELL_ID}.toml`);
  writeFileSync(toml, movedDates(readFileSync(`${DEMO}.well.toml`, 'utf8'), shiftDays));
  const args = ['watch', '--well', toml, '--store', file, '--http', '0', '--mqtt', '0'];
  const child = spawn(process.execPath, [join(ROOT, 'src', 'cli', 'main.ts'), ...args], {
    stdio: ['ignore', 'pipe', 'ignore'],
  });
  const end = () => {
    child.once('exit', () => rmSync(folder, { recursive: true }));
    child.kill('SIGTERM');
  };
  let text = '';
  child.stdout.on('data', (piece) => {
    text += piece;
  });
  for (;;) {
    const [, address] = /Open the page: (\S+)/.exec(text) ?? [];
    if (address !== undefined) {
      await settled(address, nowS);
      return { address, end, well: WELL_ID };
    }
    if (child.exitCode !== null) throw new Error('the service did not come up');
    await sleep(200);
  }
}

/** Rows `time,pressure [psi],current [A]` up to now, moved; an empty cell is no reading. */
function readingsOf(rows: readonly string[], shiftS: number, nowS: number): ReadingBatch {
  const found = rows.flatMap((row) => {
    const [time, ...cells] = row.split(',');
    const atS = Number(time) + shiftS;
    if (atS > nowS) return [];
    return cells.flatMap((cell, i) =>
      cell === '' ? [] : [{ atS, i, value: Number(cell) * (i === 0 ? PSI_PA : 1) }],
    );
  });
  return {
    count: found.length,
    timeS: Float64Array.from(found, ({ atS }) => atS),
    channel: Uint8Array.from(found, ({ i }) => CHANNELS.indexOf(i === 0 ? 'pressure' : 'current')),
    value: Float64Array.from(found, ({ value }) => value),
  };
}

/** Waits until the last reading has been analysed. */
async function settled(address: string, nowS: number): Promise<void> {
  for (;;) {
    const answer = await fetch(`${address}api/v1/wells/${WELL_ID}/now`);
    const { at, replay } = (await answer.json()) as { at: string | null; replay: object | null };
    if (replay === null && at !== null && Date.parse(at) / 1000 > nowS - 1800) return;
    await sleep(1000);
  }
}
