import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { gunzipSync, gzipSync } from 'node:zlib';
import { ROOT } from './source-scan.ts';

const DAY_S = 86_400;
const YEAR_DAYS = 365;
const DEMO = join(ROOT, 'demo', 'juniper-bench');

/**
 * The service with the year of the demo log moved by whole days to end at the present, and the
 * same year before it again until there are so many.
 */
export async function demoYears(years: number) {
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-years-'));
  const [head = '', ...rows] = gunzipSync(readFileSync(`${DEMO}.csv.gz`))
    .toString()
    .trimEnd()
    .split('\n');
  const timeS = rows.map((row) => Number(row.slice(0, row.indexOf(','))));
  const nowS = Date.now() / 1000 - 5;
  // The last day is cut off at the present.
  const shiftDays = Math.ceil((nowS - timeS.at(-1)!) / DAY_S);
  const logs = Array.from({ length: years }, (_, back) => {
    const shiftS = (shiftDays - back * YEAR_DAYS) * DAY_S;
    const moved = rows.flatMap((row, i) => {
      const atS = timeS[i]! + shiftS;
      return atS > nowS ? [] : [`${atS.toFixed(1)}${row.slice(row.indexOf(','))}`];
    });
    const file = join(folder, `${back}.csv.gz`);
    writeFileSync(file, gzipSync(`${[head, ...moved].join('\n')}\n`, { level: 1 }));
    return file;
  });
  const toml = join(folder, 'juniper-bench.toml');
  writeFileSync(toml, movedDates(readFileSync(`${DEMO}.well.toml`, 'utf8'), shiftDays));
  const history = logs.toReversed().flatMap((log) => ['--history', log]);
  const args = ['watch', '--well', toml, ...history, '--http', '0', '--mqtt', '0'];
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
      await settled(address, { nowS, years });
      return { address, end, well: 'juniper-bench' };
    }
    if (child.exitCode !== null) throw new Error('the service did not come up');
    await sleep(200);
  }
}

const movedDates = (toml: string, days: number): string =>
  toml.replaceAll(/\d{4}-\d\d-\d\dT[\d:.]+Z/g, (date) =>
    new Date(Date.parse(date) + days * DAY_S * 1000).toISOString(),
  );

/** A device that speaks on and on has the store seal what lies behind it; more of it for more. */
const SPEAKS_A_YEAR = 70;

/** Waits until the last reading has been analysed, and years of history lie as they will. */
async function settled(address: string, { nowS, years }: { nowS: number; years: number }) {
  const wells = `${address}api/v1/wells/juniper-bench`;
  for (;;) {
    const { at, replay } = (await (await fetch(`${wells}/now`)).json()) as Present;
    if (replay === null && at !== null && Date.parse(at) / 1000 > nowS - 1800) break;
    await sleep(1000);
  }
  for (let i = 0; i < (years - 1) * SPEAKS_A_YEAR; i++) {
    const t = Date.now() / 1000 - 1;
    await fetch(`${wells}/readings`, {
      method: 'POST',
      headers: { 'content-type': 'application/senml+json' },
      body: JSON.stringify([{ n: 'pressure', u: 'Pa', t, v: 300_000 }]),
    });
  }
  for (;;) {
    const { days } = (await (await fetch(`${wells}/days`)).json()) as { days: object[] };
    if (days.length >= years * (YEAR_DAYS - 1)) return;
    await sleep(1000);
  }
}

interface Present {
  at: string | null;
  replay: object | null;
}
