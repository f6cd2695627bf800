import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sheetHtml } from '../../src/report/contractor/html.ts';
import { fullestSheet } from '../support/fullest-sheet.ts';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { hasBrowser, opened, send, violations } from './opened.ts';

const LOG = rehearsedLog({ letter: 'C', days: 3, seed: 61, restS: 60 });
const ID = LOG.well.id;
const SHIFT_S = Math.floor(Date.now() / 1000) - 60 - Math.ceil(LOG.timeS.at(-1)!);
const pagesIn = (pdf: Buffer): number =>
  [...pdf.toString('latin1').matchAll(/\/Type \/Page\b/g)].length;

describe.runIf(hasBrowser)('the page for the contractor in a browser', () => {
  let at: Awaited<ReturnType<typeof opened>>;
  beforeAll(async () => {
    at = await opened([LOG.toml]);
    await send(at.on, LOG, { shiftS: SHIFT_S });
    await at.on.service.wells.advance();
  }, 60_000);
  afterAll(() => at.close());

  for (const sheet of ['condition', 'book'])
    it(`is reached from the sheet ${sheet} with the complaint that was typed`, async () => {
      const page = await at.page(`/wells/${ID}/${sheet}`, {
        viewport: { width: 390, height: 844 },
      });
      await page.getByText('Page for the contractor').click();
      await page.getByLabel('The complaint, in your own words').fill('Clicks – 2 °C & more.');
      expect(await violations(page)).toEqual([]);
      const pdf = await page.getByRole('link', { name: 'As PDF, to send' }).getAttribute('href');
      expect((await (await fetch(at.address + pdf)).text()).slice(0, 5)).toBe('%PDF-');
      const [paper] = await Promise.all([
        page.context().waitForEvent('page'),
        page.getByRole('link', { name: 'Open it, to print' }).click(),
      ]);
      await paper.getByText('Clicks – 2 °C & more.').waitFor();
      // Its own style is let through.
      const size = await paper.locator('h1').evaluate((h1) => getComputedStyle(h1).fontSize);
      expect(size).toBe('20px');
      expect(await paper.title()).toBe('For the contractor: Case C');
      expect(at.faults).toEqual([]);
      await page.context().close();
    });

  it.each(['us', 'si'] as const)(
    'fits a phone and prints on two pages at most (%s)',
    async (units) => {
      const page = await at.page('/', { viewport: { width: 390, height: 844 } });
      await page.goto('about:blank');
      await page.setContent(sheetHtml(fullestSheet(units)));
      const overflow = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(overflow).toBeLessThanOrEqual(0);
      expect(await violations(page)).toEqual([]);
      expect(pagesIn(await page.pdf({ preferCSSPageSize: true }))).toBeLessThanOrEqual(2);
      await page.context().close();
    },
  );
});
