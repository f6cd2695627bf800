import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import axe from 'axe-core';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { chromiumPath, openBrowser } from '../support/browser.ts';
import type { RehearsedLog } from '../support/rehearsed-log.ts';
import { ROOT } from '../support/source-scan.ts';
import { joined } from '../watch/joined.ts';

const path = chromiumPath();
const isBuilt = existsSync(join(ROOT, 'dist', 'page', 'index.html'));
if (path === null && process.env.PAGE_TESTS === 'must')
  throw new Error('expected a chromium to test the page in, found none (CHROMIUM names one)');
if (path === null) process.stderr.write('no chromium here: the tests of the page are left out\n');
if (path !== null && !isBuilt) throw new Error('expected the page to be built: npm run build');

/** Whether the page can be tested on this machine. */
export const hasBrowser = path !== null;

const UNITS = ['Pa', 'A'];
const NAMES = ['pressure', 'current'];

/** Sends readings of a rehearsed log with times in a span, moved by so much. */
export async function send(
  on: { api: string },
  log: RehearsedLog,
  { fromS = -Infinity, toS = Infinity, shiftS = 0, wellId = log.well.id },
): Promise<void> {
  const records = log.timeS.flatMap((t, i) => {
    if (t < fromS || t >= toS) return [];
    const channel = log.channel[i]!;
    return [{ n: NAMES[channel], u: UNITS[channel], t: t + shiftS, v: log.value[i] }];
  });
  for (let at = 0; at < records.length; at += 2000) {
    const response = await fetch(`${on.api}/wells/${wellId}/readings`, {
      method: 'POST',
      headers: { 'content-type': 'application/senml+json', 'content-encoding': 'gzip' },
      body: gzipSync(JSON.stringify(records.slice(at, at + 2000))),
    });
    const { refused } = (await response.json()) as { refused: unknown[] };
    if (refused.length > 0) throw new Error(`refused: ${JSON.stringify(refused[0])}`);
  }
}

/** The service and a browser before it; nothing it says goes unheard. */
export async function opened(
  tomls: string[],
  more: Parameters<typeof joined>[1] = {},
  args: string[] = [],
) {
  const on = await joined(tomls, more);
  const browser: Browser = await openBrowser(path!, args);
  const faults: string[] = [];
  const address = on.api.replace('/api/v1', '');
  return {
    on,
    address,
    /** What the page threw or a script complained of. */
    faults,
    async page(place: string, options: BrowserContextOptions = {}): Promise<Page> {
      const context = await browser.newContext({ serviceWorkers: 'block', ...options });
      const page = await context.newPage();
      page.setDefaultTimeout(15_000);
      page.on('pageerror', (error) => faults.push(String(error)));
      await page.goto(address + place);
      return page;
    },
    async close() {
      await browser.close();
      await on.close();
    },
  };
}

/** Rules of WCAG 2.2 to level AA, and the practice that goes with them. */
const RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

let pictures = 0;

/** Kept to be looked at where PICTURES names a folder. */
async function picture(page: Page): Promise<void> {
  const folder = process.env.PICTURES;
  if (folder === undefined) return;
  const [place = ''] = new URL(page.url()).pathname.split('/').slice(-1);
  const name = `${process.pid}-${String(pictures++).padStart(3, '0')}-${place}.png`;
  await page.screenshot({ path: join(folder, name), fullPage: true });
}

/** What axe finds wrong on a page, one line each. */
export async function violations(page: Page): Promise<string[]> {
  await picture(page);
  await page.evaluate(axe.source);
  return page.evaluate(async (values) => {
    const { run } = (globalThis as unknown as { axe: typeof import('axe-core') }).axe;
    const found = await run(document, { runOnly: { type: 'tag', values } });
    return found.violations.flatMap(({ id, nodes }) =>
      nodes.map((node) => `${id}: ${node.html.slice(0, 120)} ${node.failureSummary ?? ''}`),
    );
  }, RULES);
}

/** Until every strip is drawn from answers and nothing is still being read. */
export async function drawn(page: Page): Promise<void> {
  await page.waitForSelector('main.sheet h2');
  // What a click has asked for is drawn with the next frame, and known to be missing then.
  await page.evaluate(
    () => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))),
  );
  await page.waitForFunction(
    () =>
      [...document.querySelectorAll('canvas')].every((one) => one.dataset.complete === 'true') &&
      !(document.body.textContent ?? '').includes('Reading…'),
  );
}
