import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { hasBrowser, opened, violations } from './opened.ts';

const folder = mkdtempSync(join(tmpdir(), 'wellwright-broken-'));
const file = join(folder, 'barn.well.toml');
const BROKEN = 'name = "Barn"\nid = "barn"\n[tank]\nvolume = "44 psi"\n';
afterAll(() => rmSync(folder, { recursive: true }));

describe.runIf(hasBrowser)('a well whose file cannot be used', () => {
  let at: Awaited<ReturnType<typeof opened>>;
  beforeAll(async () => {
    writeFileSync(file, BROKEN);
    const broken = [{ file, id: 'barn', says: `${file}:4:10: expected a volume` }];
    at = await opened(['name = "Mill"\nid = "mill"\n'], { broken });
  }, 30_000);
  afterAll(() => at.close());

  it('shows what is wrong in its place, and lives once mended', async () => {
    const page = await at.page('/', { viewport: { width: 390, height: 844 } });
    const first = page.locator('.wells li').first();
    await first.getByText('Its file cannot be used').waitFor();
    await first.getByRole('link', { name: 'barn' }).click();
    await page.getByRole('heading', { name: 'The file of barn cannot be used' }).waitFor();
    await page.getByText('One thing is wrong:').waitFor();
    const text = page.getByRole('textbox', { name: 'Text of the well file' });
    expect(await text.getAttribute('aria-invalid')).toBe('true');
    for (const width of [1440, 390]) {
      await page.setViewportSize({ width, height: 844 });
      expect(await violations(page)).toEqual([]);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      expect(wide).toBeLessThanOrEqual(width);
    }
    await text.fill(BROKEN.replace('psi', 'gal'));
    await page.getByText('Nothing is wrong in it.').waitFor();
    await page.getByLabel(/^Your name/).fill('Keeper');
    await page.getByRole('button', { name: 'Let it hold' }).click();
    await page.getByRole('navigation', { name: 'Sheets of this well' }).waitFor();
    expect(await page.title()).toBe('At the well, Barn');
    expect(readFileSync(file, 'utf8')).toContain('44 gal');
    expect(at.faults).toEqual([]);
    await page.context().close();
  });
});
