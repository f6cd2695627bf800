/**
 * Pictures of the page, of the demo well: `node scripts/page-pictures.ts [<folder>]`. Without a
 * folder they become those of the README, docs/screens; with one, every screen at two
 * widths, by day and by night, to be looked at.
 */
import { spawn } from 'node:child_process';
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Page } from 'playwright-core';
import { chromiumPath, openBrowser } from '../test/support/browser.ts';

const ROOT = join(import.meta.dirname, '..');
const SCREENS = { 'at-the-well': '', runs: '/runs', water: '/water', condition: '/condition' };
const [folder] = process.argv.slice(2);
const out = folder ?? join(ROOT, 'docs', 'screens');

/** The demo, and where its page is. */
async function demo() {
  const child = spawn(process.execPath, [join(ROOT, 'src', 'cli', 'main.ts'), 'demo'], {
    stdio: ['ignore', 'pipe', 'ignore'],
  });
  let text = '';
  child.stdout.on('data', (piece) => {
    text += piece;
  });
  for (;;) {
    const [, address] = /Open the page: (\S+)/.exec(text) ?? [];
    if (address !== undefined) return { address, end: () => child.kill('SIGTERM') };
    if (child.exitCode !== null) throw new Error('the demo did not come up');
    await sleep(200);
  }
}

/** Waits until the year is read in and analysed. */
async function settled(address: string): Promise<string> {
  for (let still = 0; still < 3; ) {
    await sleep(2000);
    const { wells } = await (await fetch(`${address}api/v1/wells`)).json();
    const now = await (await fetch(`${address}api/v1/wells/${wells[0].well}/now`)).json();
    const agoMs = Date.now() - Date.parse(now.at ?? '1970-01-01');
    still = now.replay === null && agoMs < 180_000 && wells[0].readings > 640_000 ? still + 1 : 0;
    if (still === 3) return wells[0].well;
  }
  return '';
}

/** Whole once every strip on it is drawn. */
async function whole(page: Page): Promise<void> {
  await page.waitForSelector('main.sheet h2');
  await page.waitForFunction(
    () =>
      [...document.querySelectorAll('canvas')].every((one) => one.dataset.complete === 'true') &&
      !/Reading…/.test(document.body.textContent ?? ''),
  );
  await sleep(300);
}

const path = chromiumPath();
if (path === null) throw new Error('no chromium here');
mkdirSync(out, { recursive: true });
const service = process.env.PAGE ? { address: process.env.PAGE, end: () => true } : await demo();
const browser = await openBrowser(path);
try {
  const well = await settled(service.address);
  const widths = folder === undefined ? [1000] : [390, 1440];
  for (const width of widths)
    for (const scheme of ['light', 'dark'] as const) {
      if (folder === undefined && scheme === 'dark') continue;
      const context = await browser.newContext({
        viewport: { width, height: width === 390 ? 844 : 900 },
        colorScheme: scheme,
        serviceWorkers: 'block',
      });
      const page = await context.newPage();
      for (const [name, place] of Object.entries(SCREENS)) {
        await page.goto(`${service.address}wells/${well}${place}`);
        await whole(page);
        const file = folder === undefined ? `${name}.png` : `${name}-${width}-${scheme}.png`;
        await page.screenshot({ path: join(out, file), fullPage: folder !== undefined });
        console.log(file);
      }
      await context.close();
    }
} finally {
  await browser.close();
  service.end();
}
