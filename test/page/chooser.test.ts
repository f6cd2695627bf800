import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { hasBrowser, opened, violations } from './opened.ts';

const NAMES = ['Mill', 'Barn', 'Shed'];

describe.runIf(hasBrowser)('several wells', () => {
  let at: Awaited<ReturnType<typeof opened>>;
  let page: Page;
  const pressure = (well: string) => {
    const nowS = Date.now() / 1000;
    const at10S = Array.from({ length: 60 }, (_, i) => nowS - 10 * (59 - i));
    const records = at10S.map((t) => ({ n: 'pressure', u: 'Pa', v: 350_000, t }));
    return at.on.post(well, JSON.stringify(records));
  };
  const links = () => page.locator('.wells a:not([href$="/book"])').allTextContents();
  beforeAll(async () => {
    at = await opened(NAMES.map((name) => `name = "${name}"\n`));
    await pressure('mill');
    await pressure('shed');
    await at.on.service.wells.advance();
    page = await at.page('/', { viewport: { width: 390, height: 844 } });
  }, 60_000);
  afterAll(() => at.close());

  it('a chooser leads to each, with a slash at the end of the address or none', async () => {
    await expect.poll(links).toEqual(NAMES);
    expect(await violations(page)).toEqual([]);
    await page.getByRole('link', { name: 'Barn' }).click();
    await page.getByText('No reading has come yet.').first().waitFor();
    expect(new URL(page.url()).pathname).toBe('/wells/barn');
    await page.getByRole('link', { name: 'all wells' }).click();
    await expect.poll(links).toEqual(NAMES);
    await page.goto(`${at.address}/wells/barn/`);
    await page.getByRole('heading', { name: 'At the well' }).waitFor();
    await page.goto(`${at.address}/wells/`);
    await expect.poll(links).toEqual(NAMES);
  });

  it('says that their order has changed and keeps the focus; what is due leads on', async () => {
    await page.getByRole('link', { name: 'Shed' }).focus();
    const on = '2024-05-01T12:00:00Z';
    const response = await fetch(`${at.on.api}/wells/shed/book`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ by: 'Keeper', about: 'water-sample', says: 'Clear.', on }),
    });
    expect(response.status).toBe(200);
    await page.getByText('The order has changed: Shed stands first.').waitFor();
    expect(await links()).toEqual(['Shed', 'Mill', 'Barn']);
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe('Shed');
    const [first] = await page.locator('.wells li').allTextContents();
    expect(first).toContain('Due: take a water sample.');
    expect(await violations(page)).toEqual([]);
    await page.getByRole('link', { name: 'What is due, and how' }).click();
    await page.getByText(/last on 2024-05-01, due since 2025-05-01/).waitFor();
    await page.goto(`${at.address}/wells/shed`);
    await page.getByRole('status').filter({ hasText: 'Due: take a water sample.' }).waitFor();
    await page.getByRole('link', { name: 'What is due, and how' }).waitFor();
    expect(at.faults).toEqual([]);
  });
});
