import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { drawn, hasBrowser, opened, send, violations } from './opened.ts';

const LOG = rehearsedLog({ letter: 'C', days: 0.4, seed: 62 });
const ID = LOG.well.id;
const END_S = Math.floor(Date.now() / 1000) - 60;
const SHIFT_S = END_S - Math.ceil(LOG.timeS.at(-1)!);
const HOUR_S = 3600;
const YEAR_HOURS = 8766;
/** A year of one pressure an hour before, as a logger of old may have left it, but for a month. */
const OLD = Array.from({ length: YEAR_HOURS }, (_, i) => END_S - (YEAR_HOURS - i) * HOUR_S)
  .filter((timeS) => timeS < SHIFT_S + LOG.timeS[0]! - HOUR_S)
  .filter((_, i) => i < 4000 || i > 4720);

const label = async (page: Page) =>
  ((await page.locator('canvas').getAttribute('aria-label')) ?? '').replaceAll('\u00a0', ' ');
/** The span that the strip says it shows, s, to what its words hold. */
async function spanS(page: Page): Promise<number> {
  const [, from, to] = /strip from (.*) to (.*?)\. /.exec(await label(page)) ?? [];
  return (Date.parse(`${to}Z`) - Date.parse(`${from}Z`)) / 1000;
}

describe.runIf(hasBrowser)('the recorder', () => {
  let at: Awaited<ReturnType<typeof opened>>;
  beforeAll(async () => {
    at = await opened([LOG.toml]);
    const records = OLD.map((t, i) => ({
      n: 'pressure',
      u: 'Pa',
      t,
      v: 280_000 + (i % 24) * 1000,
    }));
    for (let from = 0; from < records.length; from += 2000)
      await at.on.post(ID, JSON.stringify(records.slice(from, from + 2000)));
    await send(at.on, LOG, { shiftS: SHIFT_S });
    await at.on.service.wells.advance();
  }, 60_000);
  afterAll(() => at.close());

  it('goes from a year to a second, from summaries to the readings themselves', async () => {
    const page = await at.page(`/wells/${ID}`);
    await drawn(page);
    const span = page.getByRole('combobox', { name: 'Time across the paper' });
    await span.selectOption({ label: '1 year' });
    await drawn(page);
    expect(await page.locator('canvas').getAttribute('data-raw')).toBe('false');
    expect(await spanS(page)).toBeGreaterThan(364 * 86_400);
    expect(await label(page)).toMatch(/pressure between \d\d\.\d psi/);
    const closer = page.getByRole('button', { name: 'Closer' });
    const spans: number[] = [];
    for (let i = 0; i < 9; i++) {
      await closer.click();
      await drawn(page);
      spans.push(await spanS(page));
    }
    expect(spans).toEqual(spans.toSorted((a, b) => b - a));
    expect(await page.locator('canvas').getAttribute('data-raw')).toBe('true');
    expect(spans.at(-1)).toBeCloseTo(1, 1);
    const wider = page.getByRole('button', { name: 'Wider' });
    for (let i = 0; i < 10; i++) await wider.click();
    await drawn(page);
    expect(await spanS(page)).toBeGreaterThan(9.9 * 365 * 86_400);
    expect(at.faults).toEqual([]);
    await page.context().close();
  });

  it('asks for no piece of the past again after another sheet', async () => {
    const page = await at.page(`/wells/${ID}`);
    const asked: string[] = [];
    page.on('request', (request) => {
      const { pathname, searchParams } = new URL(request.url());
      if (!pathname.endsWith('/readings')) return;
      const [from, to] = [searchParams.get('from'), searchParams.get('to')];
      // What reaches beyond the present is asked anew every so often.
      if (Date.parse(to!) / 1000 < END_S)
        asked.push(`${searchParams.get('channel')} ${from} ${to}`);
    });
    await page.reload();
    await drawn(page);
    const span = page.getByRole('combobox', { name: 'Time across the paper' });
    await span.selectOption({ label: '30 days' });
    await drawn(page);
    await page.getByRole('link', { name: 'Water' }).click();
    await drawn(page);
    await page.getByRole('link', { name: 'At the well' }).click();
    await drawn(page);
    await span.selectOption({ label: '30 days' });
    await drawn(page);
    expect(asked.length).toBeGreaterThan(0);
    expect(asked.toSorted()).toEqual([...new Set(asked)].toSorted());
    expect(at.faults).toEqual([]);
    await page.context().close();
  });

  it('shows what the readings say: raw values in the table, a gap as a gap', async () => {
    const page = await at.page(`/wells/${ID}`);
    await drawn(page);
    const span = page.getByRole('combobox', { name: 'Time across the paper' });
    await span.selectOption({ label: '10 minutes' });
    await drawn(page);
    await page.getByText('The same as a table').click();
    await page.locator('.as-table tbody tr').first().waitFor();
    const cells = await page
      .locator('.as-table tbody tr')
      .evaluateAll((rows) =>
        rows.map((row) => [...row.children].map((cell) => cell.textContent ?? '')),
      );
    const toPa = 6894.757;
    const last = LOG.timeS
      .map((t, i) => ({ t: t + SHIFT_S, channel: LOG.channel[i], value: LOG.value[i]! }))
      .filter(({ t, channel }) => channel === 0 && t > END_S - 588);
    const shown = cells
      .map((row) => row[1]!)
      .filter((cell) => cell !== '-')
      .map(Number);
    const least = Math.min(...last.map(({ value }) => value)) / toPa;
    expect(Math.min(...shown)).toBeCloseTo(least, 1);
    expect(await violations(page)).toEqual([]);
    await span.selectOption({ label: '1 year' });
    await drawn(page);
    // Hourly readings are rarer than this well's own: each hour between two is no record.
    expect(await label(page)).toMatch(/ [1-9]\d* gaps? in the record/);
    await page.context().close();
  });

  it('is moved by a drag, and stretched by the wheel with a key held', async () => {
    const page = await at.page(`/wells/${ID}`);
    await drawn(page);
    const canvas = page.locator('canvas');
    await canvas.scrollIntoViewIfNeeded();
    const box = (await canvas.boundingBox())!;
    const fromS = async () => {
      const [, from] = /from (.*?) to/.exec(await label(page)) ?? [];
      return Date.parse(`${from}Z`) / 1000;
    };
    const [before, span] = [await fromS(), await spanS(page)];
    const y = box.y + box.height / 2;
    await page.mouse.move(box.x + 200, y);
    await page.mouse.down();
    await page.mouse.move(box.x + 200 + box.width / 4, y, { steps: 5 });
    await page.mouse.up();
    const moved = before - (await fromS());
    expect(moved / span).toBeGreaterThan(0.2);
    expect(moved / span).toBeLessThan(0.3);
    await page.keyboard.down('Control');
    await page.mouse.wheel(0, -600);
    await page.keyboard.up('Control');
    await expect.poll(() => spanS(page)).toBeLessThan(span / 4);
    await drawn(page);
    expect(at.faults).toEqual([]);
    await page.context().close();
  });

  it('is moved and stretched by keys alone, as all of the page is', async () => {
    const page = await at.page(`/wells/${ID}`);
    await drawn(page);
    await page.keyboard.press('Tab');
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe('Go to the sheet');
    const reach = async (name: string) => {
      for (let i = 0; i < 40; i++) {
        const found = await page.evaluate(() => {
          const one = document.activeElement;
          return (
            one?.getAttribute('aria-label') ?? (one?.closest('label') ?? one)?.textContent ?? ''
          );
        });
        if (found === name) return;
        await page.keyboard.press('Tab');
      }
      throw new Error(`${name} is not reached by Tab`);
    };
    await reach('Earlier');
    const before = await spanS(page);
    await page.keyboard.press('+');
    await expect.poll(() => spanS(page)).toBeLessThan(before);
    const [, was] = /strip from (.*?) to/.exec(await label(page)) ?? [];
    await page.keyboard.press('ArrowLeft');
    await expect.poll(() => label(page)).not.toContain(`from ${was}`);
    await page.keyboard.press('End');
    await expect.poll(() => label(page)).toContain(`from ${was}`);
    await page.keyboard.press('Home');
    await page.reload();
    await drawn(page);
    await page.keyboard.press('Tab');
    await reach('Runs');
    await page.keyboard.press('Enter');
    await drawn(page);
    expect(new URL(page.url()).pathname).toBe(`/wells/${ID}/runs`);
    const [first, second] = await page
      .locator('.choose')
      .evaluateAll((all) => all.map((one) => one.getAttribute('aria-label') ?? ''));
    expect(first).not.toBe(second);
    await reach(second!);
    await page.keyboard.press('Space');
    const when = second!.replace('Lay over the normal run: run of ', '');
    await page.getByRole('heading', { name: `The run of ${when} over the normal run` }).waitFor();
    await reach('Water');
    await page.keyboard.press('Enter');
    await drawn(page);
    await reach('day');
    await page.keyboard.press('ArrowLeft');
    await page.getByRole('heading', { name: 'What is steady' }).waitFor();
    await expect.poll(() => page.getByRole('radio', { name: 'hour' }).isChecked()).toBe(true);
    expect(at.faults).toEqual([]);
    await page.context().close();
  });
});
