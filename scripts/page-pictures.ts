/**
 * Pictures of the page, of the demo well: `node scripts/page-pictures.ts [<folder>]`. Without a
 * folder they become those of the README, docs/screens; with one, every screen at two
 * widths, by day and by night, to be looked at.
 */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Page } from 'playwright-core';
import { chromiumPath, openBrowser } from '../test/support/browser.ts';
import { demoYears } from '../test/support/demo-years.ts';

const ROOT = join(import.meta.dirname, '..');
const SCREENS = {
  'at-the-well': '',
  runs: '/runs',
  water: '/water',
  condition: '/condition',
  tests: '/tests',
  gauges: '/gauges',
  book: '/book',
};
const README_PX = 1140;
const [folder] = process.argv.slice(2);
const out = folder ?? join(ROOT, 'docs', 'screens');

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
const service = await demoYears(1);
const browser = await openBrowser(path);
try {
  const { well } = service;
  const widths = folder === undefined ? [README_PX] : [390, 1440];
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
        if (folder === undefined) {
          // The strip at its foot belongs to the first sheet.
          const height = name === 'at-the-well' ? 1380 : 900;
          await page.setViewportSize({ width, height });
        }
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
