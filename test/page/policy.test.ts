import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { drawn, hasBrowser, opened, send } from './opened.ts';

const LOG = rehearsedLog({ letter: 'C', days: 0.3, seed: 61, restS: 20 });
const ID = LOG.well.id;
/** By then a sheet has asked for all that it shows, and drawn it. */
const SETTLES_MS = 800;

describe.runIf(hasBrowser)('the content security policy of the page', () => {
  let at: Awaited<ReturnType<typeof opened>>;
  beforeAll(async () => {
    at = await opened([LOG.toml]);
    const shiftS = Math.floor(Date.now() / 1000) - 30 - LOG.timeS.at(-1)!;
    await send(at.on, LOG, { shiftS });
    await at.on.service.wells.advance();
  }, 60_000);
  afterAll(() => at.close());

  /** A page that keeps what its policy forbade. */
  const watched = async (place: string) => {
    const page = await at.page('/icon.svg');
    await page.addInitScript(() => {
      const forbidden: string[] = [];
      Object.assign(globalThis, { forbidden });
      document.addEventListener('securitypolicyviolation', (event) =>
        forbidden.push(`${event.effectiveDirective} ${event.blockedURI}`),
      );
    });
    await page.goto(at.address + place);
    const forbidden = () =>
      page.evaluate(() => (globalThis as unknown as { forbidden: string[] }).forbidden);
    return { page, forbidden };
  };

  it('forbids nothing that a sheet does', async () => {
    const { page, forbidden } = await watched(`/wells/${ID}`);
    await drawn(page);
    const links = await page
      .getByRole('navigation')
      .getByRole('link')
      .evaluateAll((all) => all.map((one) => one.getAttribute('href')!));
    expect(links.length).toBeGreaterThanOrEqual(4);
    for (const link of links) {
      await page.goto(at.address + link);
      await page.waitForSelector('main.sheet h2');
      // What is folded away is asked for once it is opened.
      await page.evaluate(() => {
        for (const one of document.querySelectorAll('details')) one.open = true;
      });
      await page.waitForTimeout(SETTLES_MS);
      expect(await forbidden(), link).toEqual([]);
    }
    expect(at.faults).toEqual([]);
  });

  it('forbids what somebody would bring in: scripts, styles, other servers', async () => {
    const { page, forbidden } = await watched(`/wells/${ID}`);
    await drawn(page);
    const ran = await page.evaluate(async () => {
      const script = document.createElement('script');
      script.textContent = 'globalThis.ran = true';
      document.body.append(script);
      const box = document.createElement('div');
      box.innerHTML = '<img src="/nothing" onerror="globalThis.ran = true"><p style="color:red">';
      document.body.append(box);
      document.head.append(Object.assign(document.createElement('style'), { textContent: 'p{}' }));
      await fetch('https://elsewhere.example/').catch(() => undefined);
      const frame = Object.assign(document.createElement('iframe'), { src: '/icon.svg' });
      document.body.append(frame);
      await new Promise((done) => setTimeout(done, 500));
      return 'ran' in globalThis;
    });
    expect(ran).toBe(false);
    const kinds = (await forbidden()).map((one) => one.split(' ')[0]);
    for (const kind of ['script-src-elem', 'script-src-attr', 'style-src-attr', 'style-src-elem'])
      expect(kinds).toContain(kind);
    for (const kind of ['connect-src', 'frame-src']) expect(kinds).toContain(kind);
  });
});
