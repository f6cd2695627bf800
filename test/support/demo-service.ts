import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { ROOT } from './source-scan.ts';

interface Answers {
  wells: { well: string; readings: number }[];
}

/** Readings that the year of the demo has at least. */
const YEAR_READINGS = 640_000;

/** The demo of `npm start` as it stands once its year is read in and analysed. */
export async function demoService() {
  const child = spawn(process.execPath, [join(ROOT, 'src', 'cli', 'main.ts'), 'demo'], {
    stdio: ['ignore', 'pipe', 'ignore'],
  });
  let text = '';
  child.stdout.on('data', (piece) => {
    text += piece;
  });
  const end = () => child.kill('SIGTERM');
  for (;;) {
    const [, address] = /Open the page: (\S+)/.exec(text) ?? [];
    if (address !== undefined) return { address, end, well: await settled(address) };
    if (child.exitCode !== null) throw new Error('the demo did not come up');
    await sleep(200);
  }
}

/** Waits until the year is in, and until readings of now are analysed; the id of the well. */
async function settled(address: string): Promise<string> {
  const get = async <T>(path: string) => (await (await fetch(address + path)).json()) as T;
  for (let still = 0; ; ) {
    await sleep(1500);
    const [first] = (await get<Answers>('api/v1/wells')).wells;
    if (first === undefined) continue;
    const path = `api/v1/wells/${first.well}/now`;
    const now = await get<{ at: string | null; replay: object | null }>(path);
    const agoMs = Date.now() - Date.parse(now.at ?? '1970-01-01');
    const isIn = now.replay === null && agoMs < 900_000 && first.readings > YEAR_READINGS;
    still = isIn ? still + 1 : 0;
    if (still === 3) return first.well;
  }
}
