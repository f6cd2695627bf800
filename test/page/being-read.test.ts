import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { drawn, hasBrowser, opened, send } from './opened.ts';

const LOG = rehearsedLog({ letter: 'C', days: 2, seed: 62, restS: 20 });
const LAST_S = LOG.timeS.at(-1)!;
const SHIFT_S = Math.floor(Date.now() / 1000) - 60 - Math.ceil(LAST_S);
const HOUR_S = 3600;
/** This part of it comes late. */
const LATE = { fromS: LAST_S - 2 * HOUR_S, toS: LAST_S - HOUR_S, shiftS: SHIFT_S };

describe.runIf(hasBrowser)('the strip while readings are asked for', () => {
  let at: Awaited<ReturnType<typeof opened>>;
  beforeAll(async () => {
    at = await opened([LOG.toml]);
    await send(at.on, LOG, { toS: LATE.fromS, shiftS: SHIFT_S });
    await send(at.on, LOG, { fromS: LATE.toS, shiftS: SHIFT_S });
    await at.on.service.wells.advance();
  }, 60_000);
  afterAll(() => at.close());

  it('says so, and after late readings keeps what it had until the answer is there', async () => {
    const page = await at.page('/');
    let held: (() => void)[] | null = [];
    await page.route('**/readings?*', async (route) => {
      if (held !== null) await new Promise<void>((go) => held!.push(go));
      await route.continue();
    });
    const release = () => {
      for (const go of held ?? []) go();
      held = null;
    };
    const says = () => page.locator('canvas[role=img]').getAttribute('aria-label');
    await page.goto(`${at.address}/wells/${LOG.well.id}`);
    await expect.poll(says).toMatch(/It is still being read\.$/);
    release();
    await drawn(page);
    expect(await says()).toMatch(/pressure between .* 1 gap in the record\./);

    held = [];
    await send(at.on, LOG, LATE);
    await at.on.service.wells.advance();
    await expect.poll(() => held!.length, { timeout: 20_000 }).toBeGreaterThan(0);
    expect(await says()).toMatch(/pressure between .* 1 gap in the record\./);
    release();
    await expect.poll(says, { timeout: 20_000 }).toMatch(/No gap in the record\./);
    expect(at.faults).toEqual([]);
  }, 60_000);
});
