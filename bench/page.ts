/**
 * How soon the page shows a well with a year of readings, what it sends for that, and how evenly a
 * year moves under the finger: `node bench/page.ts [--years <count>]`. The well is that of the
 * demo, its year put before itself for more of them; the browser is the system's Chromium without a
 * display, as on a desk, then with link and processor slowed as on a phone.
 */
import { parseArgs } from 'node:util';
import type { Browser, CDPSession, Page } from 'playwright-core';
import { chromiumPath, openBrowser } from '../test/support/browser.ts';
import { demoYears } from '../test/support/demo-years.ts';

const { values } = parseArgs({ options: { years: { type: 'string', default: '1' } } });
const years = Number(values.years);
const WAYS = { desk: { width: 1440, height: 900 }, phone: { width: 390, height: 844 } };
type Way = keyof typeof WAYS;
/** A poor mobile link: 1.6 Mbit/s, 150 ms; a processor four times slower. */
const LINK = { offline: false, latency: 150, downloadThroughput: 2e5, uploadThroughput: 9e4 };
const SLOWER = 4;
const RUNS = 5;

const middle = (values: number[]): number => {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN;
};
const share = (values: number[], of: number): number =>
  values.toSorted((a, b) => a - b)[Math.floor(of * (values.length - 1))] ?? Number.NaN;

const drawn = () =>
  [...document.querySelectorAll('canvas')].every((one) => one.dataset.complete === 'true') &&
  document.querySelector('main.sheet h2') !== null &&
  !(document.body.textContent ?? '').includes('Reading…');

interface Sent {
  bytes: number;
  requests: number;
}

async function counted(session: CDPSession) {
  let sent: Sent = { bytes: 0, requests: 0 };
  const underWay = new Set<string>();
  session.on('Network.requestWillBeSent', ({ requestId, type }) => {
    // Events go on and on.
    if (type !== 'EventSource') underWay.add(requestId);
  });
  session.on('Network.loadingFailed', ({ requestId }) => underWay.delete(requestId));
  session.on('Network.loadingFinished', ({ requestId, encodedDataLength }) => {
    underWay.delete(requestId);
    sent.bytes += encodedDataLength;
    sent.requests += 1;
  });
  await session.send('Network.enable');
  return {
    underWay: () => underWay.size,
    /** Since it was asked last. */
    since: (): Sent => {
      const before = sent;
      sent = { bytes: 0, requests: 0 };
      return before;
    },
  };
}

const kB = ({ bytes, requests }: Sent): string =>
  `${(bytes / 1000).toFixed(0)} kB in ${requests} requests`;

/** Frames while the paper is dragged by a year, ms each. */
async function framesOfDrag(page: Page): Promise<number[]> {
  const box = await page.locator('canvas').boundingBox();
  if (box === null) throw new Error('no strip');
  const y = box.y + box.height / 2;
  await page.evaluate(() => {
    const frames: number[] = [];
    let last = performance.now();
    const tick = (at: number) => {
      frames.push(at - last);
      last = at;
      requestAnimationFrame(tick);
    };
    requestAnimationFrame(tick);
    Object.assign(globalThis, { frames });
  });
  for (let pass = 0; pass < 2; pass++) {
    const [from, to] = pass === 0 ? [0.15, 0.95] : [0.95, 0.15];
    await page.mouse.move(box.x + from * box.width, y);
    await page.mouse.down();
    await page.mouse.move(box.x + to * box.width, y, { steps: 90 });
    await page.mouse.up();
  }
  return page.evaluate(() => (globalThis as unknown as { frames: number[] }).frames.slice(2));
}

/** Opens the page of the well anew some times; the last one stays open. */
async function firstViews(browser: Browser, place: string, way: Way) {
  const sentence: number[] = [];
  const whole: number[] = [];
  for (let run = 1; ; run++) {
    const context = await browser.newContext({ viewport: WAYS[way], serviceWorkers: 'block' });
    const page = await context.newPage();
    const session = await context.newCDPSession(page);
    const sent = await counted(session);
    if (way === 'phone') {
      await session.send('Network.emulateNetworkConditions', LINK);
      await session.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
    }
    const startMs = performance.now();
    await page.goto(place, { waitUntil: 'commit' });
    await page.waitForSelector('.standing');
    sentence.push(performance.now() - startMs);
    await page.waitForFunction(drawn);
    whole.push(performance.now() - startMs);
    if (run < RUNS) await context.close();
    else {
      console.log(`${way}: first view (middle of ${RUNS})`);
      console.log(`  the sentence    ${middle(sentence).toFixed(0)} ms`);
      console.log(`  all drawn       ${middle(whole).toFixed(0)} ms, ${kB(sent.since())}`);
      return { page, sent };
    }
  }
}

async function measure(browser: Browser, place: string, way: Way): Promise<void> {
  const { page, sent } = await firstViews(browser, place, way);
  const timed = async (what: string, act: () => Promise<unknown>) => {
    const startMs = performance.now();
    await act();
    // What is shown until an answer is there does not say that it waits for one.
    do await page.waitForTimeout(20);
    while (sent.underWay() > 0);
    await page.waitForFunction(drawn);
    const tookMs = performance.now() - startMs;
    console.log(`  ${what.padEnd(15)} ${tookMs.toFixed(0)} ms, ${kB(sent.since())}`);
  };
  const radios = { Runs: [], Water: ['month', 'year', 'hour'], Condition: ['ten years'] };
  for (const [name, choices] of Object.entries(radios)) {
    await timed(name, () => page.getByRole('link', { name, exact: true }).click());
    for (const choice of choices)
      await timed(choice, () => page.getByRole('radio', { name: choice, exact: true }).check());
  }
  await timed('At the well', () => page.getByRole('link', { name: 'At the well' }).click());
  const span = page.getByRole('combobox', { name: 'Time across the paper' });
  for (const label of ['1 year', '10 years', '1 day', '10 minutes', '1 second', '1 year'])
    await timed(`to ${label}`, () => span.selectOption({ label }));
  const frames = await framesOfDrag(page);
  const [usual, most] = [middle(frames), share(frames, 0.95)].map((ms) => ms.toFixed(1));
  console.log(`  a year dragged to and fro: ${frames.length} frames, ${kB(sent.since())}`);
  console.log(`  middle ${usual} ms, 95 of 100 within ${most} ms`);
  console.log(`  longest ${Math.max(...frames).toFixed(1)} ms`);
  await page.context().close();
}

const path = chromiumPath();
if (path === null) throw new Error('no chromium here');
const service = await demoYears(years);
const browser = await openBrowser(path);
try {
  const place = `${service.address}wells/${service.well}`;
  for (const way of ['desk', 'phone'] as const) await measure(browser, place, way);
} finally {
  await browser.close();
  service.end();
}
