import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import * as t from '../access/set-up.ts';
import { until } from '../watch/until.ts';
import { hasBrowser, opened, violations } from './opened.ts';

const WIDTHS = { phone: { width: 390, height: 844 }, desk: { width: 1440, height: 900 } };

let open: Awaited<ReturnType<typeof opened>>;
let access: Awaited<ReturnType<typeof t.accessFolder>>;
beforeAll(async () => {
  access = await t.accessFolder();
  if (hasBrowser) open = await opened(['name = "Ridge"\n'], { accessFolder: access.folder });
}, 60_000);
afterAll(async () => {
  await open?.close();
  access.remove();
});

const SAFE = { ignoreHTTPSErrors: true };
const enter = async (page: Page, name: string, passphrase: string) => {
  await page.getByLabel('Name').fill(name);
  await page.getByLabel('Passphrase').fill(passphrase);
  await page.getByRole('button', { name: 'Sign in' }).click();
};

describe.runIf(hasBrowser)('the sheet to sign in', () => {
  for (const [width, viewport] of Object.entries(WIDTHS))
    for (const colorScheme of ['light', 'dark'] as const)
      it(`is without fault on a ${width}, ${colorScheme}, and lets in`, async () => {
        const page = await open.page('/wells/ridge', { ...SAFE, viewport, colorScheme });
        await page.getByRole('heading', { name: 'Sign in' }).waitFor();
        expect(await page.content()).not.toContain('Ridge');
        expect(await violations(page)).toEqual([]);
        const wide = await page.evaluate(() => document.documentElement.scrollWidth);
        expect(wide).toBeLessThanOrEqual(viewport.width);
        await enter(page, 'family', t.READERS);
        await page.getByText('Signed in as family, to look only.').waitFor();
        await page.getByText('Ridge').first().waitFor();
        expect(await violations(page)).toEqual([]);
        await page.context().close();
      });

  it('fits 320 pixels and text twice as large, and on paper has no button', async () => {
    const page = await open.page('/', { ...SAFE, viewport: { width: 320, height: 640 } });
    await page.getByRole('heading', { name: 'Sign in' }).waitFor();
    for (const size of ['100%', '200%']) {
      await page.evaluate((percent) => {
        document.documentElement.style.fontSize = percent;
      }, size);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      expect(wide, size).toBeLessThanOrEqual(320);
    }
    await page.emulateMedia({ media: 'print' });
    expect(await page.getByRole('button').count()).toBe(0);
    await page.context().close();
  });

  it('lets in by keys alone, each stop of Tab to be seen', async () => {
    const page = await open.page('/', { ...SAFE, viewport: WIDTHS.phone });
    await page.getByRole('heading', { name: 'Sign in' }).waitFor();
    const stop = () =>
      page.evaluate(() => {
        const one = document.activeElement!;
        const { outlineStyle, outlineWidth } = getComputedStyle(one);
        const isOutlined = outlineStyle !== 'none' && Number.parseFloat(outlineWidth) >= 2;
        return `${one.id || one.textContent} ${isOutlined ? 'outlined' : 'not outlined'}`;
      });
    await page.getByLabel('Name').focus();
    expect(await stop()).toBe('name outlined');
    await page.keyboard.type('family');
    await page.keyboard.press('Tab');
    expect(await stop()).toBe('passphrase outlined');
    await page.keyboard.type(t.READERS);
    await page.keyboard.press('Tab');
    expect(await stop()).toBe('Sign in outlined');
    await page.keyboard.press('Enter');
    await page.getByText('Signed in as family, to look only.').waitFor();
    await page.context().close();
  });

  it('says what was wrong, and is there again once a session ends', async () => {
    const page = await open.page('/', SAFE);
    await enter(page, 'owner', 'not the passphrase of anybody');
    await page.getByText('Name or passphrase is wrong.').waitFor();
    await enter(page, 'owner', t.OWNERS);
    await page.getByText('Signed in as owner.').waitFor();
    const [cookie] = await page.context().cookies();
    expect(cookie).toMatchObject({ httpOnly: true, secure: true, sameSite: 'Strict' });
    expect(await page.evaluate(() => document.cookie)).toBe('');
    await page.getByRole('button', { name: 'Sign out' }).click();
    await page.getByRole('heading', { name: 'Sign in' }).waitFor();
    expect(await page.context().cookies()).toEqual([]);
    await enter(page, 'family', t.READERS);
    await page.getByText('Signed in as family').waitFor();
    const { listening } = open.on.service.feed;
    await until(() => open.on.service.feed.listening >= Math.max(1, listening));
    const [session] = await page.context().cookies();
    open.on.service.access?.signOut(session?.value ?? '');
    await page.getByRole('heading', { name: 'Sign in' }).waitFor();
    expect(open.faults).toEqual([]);
    await page.context().close();
  });
});
