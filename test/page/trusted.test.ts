import { createHash, X509Certificate } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import * as t from '../access/set-up.ts';
import { hasBrowser, opened } from './opened.ts';

let open: Awaited<ReturnType<typeof opened>>;
let access: Awaited<ReturnType<typeof t.accessFolder>>;
beforeAll(async () => {
  access = await t.accessFolder();
  if (!hasBrowser) return;
  // Chromium takes trust from a list of the whole machine, or of its user, which a test must not
  // touch: it is told instead that this one certificate is as good as trusted, and no other.
  const { publicKey } = new X509Certificate(readFileSync(join(access.folder, 'server.crt')));
  const der = publicKey.export({ type: 'spki', format: 'der' });
  const pin = createHash('sha256').update(der).digest('base64');
  open = await opened(['name = "Ridge"\n'], { accessFolder: access.folder }, [
    `--ignore-certificate-errors-spki-list=${pin}`,
  ]);
}, 60_000);
afterAll(async () => {
  await open?.close();
  access.remove();
});

describe.runIf(hasBrowser)('over TLS of the house, its certificate trusted', () => {
  it('the page opens without a warning, its worker is in force: it can be installed', async () => {
    const page = await open.page('/', { serviceWorkers: 'allow' });
    await page.getByRole('heading', { name: 'Sign in' }).waitFor();
    await page.getByLabel('Name').fill('family');
    await page.getByLabel('Passphrase').fill(t.READERS);
    await page.getByRole('button', { name: 'Sign in' }).click();
    await page.getByText('Signed in as family').waitFor();
    const worker = await page.evaluate(async () => {
      const { active, scope } = await navigator.serviceWorker.ready;
      return [active?.scriptURL, scope, isSecureContext];
    });
    expect(worker).toEqual([`${open.address}/sw.js`, `${open.address}/`, true]);
    await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
    const session = await page.context().newCDPSession(page);
    const { installabilityErrors } = await session.send('Page.getInstallabilityErrors');
    // Of a window that keeps nothing, as each of a test is: there is no other hindrance.
    expect(installabilityErrors.map(({ errorId }) => errorId)).toEqual(['in-incognito']);
    const { url, errors } = await session.send('Page.getAppManifest');
    expect([url, errors]).toEqual([`${open.address}/manifest.webmanifest`, []]);
    // Kept for a place without a signal, over TLS as well.
    await page.reload();
    await page.getByText('Ridge').first().waitFor();
    await page.context().setOffline(true);
    await page.reload();
    await page.getByText('Ridge').first().waitFor();
    expect(open.faults).toEqual([]);
    await page.context().close();
  });

  it('a browser that does not trust it is warned and gets nothing', async () => {
    const other = await opened(['name = "Ridge"\n'], { accessFolder: access.folder });
    try {
      await expect(other.page('/')).rejects.toThrow('ERR_CERT_AUTHORITY_INVALID');
    } finally {
      await other.close();
    }
  });
});
