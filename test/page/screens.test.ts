import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { drawn, hasBrowser, opened, send, violations } from './opened.ts';

const LOG = rehearsedLog({ letter: 'C', days: 5, seed: 61, restS: 20 });
const ID = LOG.well.id;
/** The rehearsed log ends a minute ago. */
const SHIFT_S = Math.floor(Date.now() / 1000) - 60 - Math.ceil(LOG.timeS.at(-1)!);
const BARN = 'name = "Barn"\n';
/** A well of which nothing is told but what kind of pump it has. */
const SHED = 'name = "Shed"\nunits = "si"\n[pump]\nkind = "jet"\n';
const PRICE = '\n[energy]\nprice = "0.20 USD/kWh"\n';

const WIDTHS = { phone: { width: 390, height: 844 }, desk: { width: 1440, height: 900 } };
const SCREENS = {
  ...{ 'At the well': '', Runs: '/runs', Water: '/water', Condition: '/condition' },
  ...{ Tests: '/tests', Gauges: '/gauges', 'Well book': '/book' },
};

/** What a screen reader says, in its order: by hand, from what each sheet is for. */
const SAID: Record<keyof typeof SCREENS, RegExp[]> = {
  'At the well': [
    /heading "At the well" \[level=1\]/,
    /status: "There is water: .*\d+\.\d psi/,
    /img "Section of the well"/,
    /Section drawing of Case C\. The static level is 140 ± \d+ ft below ground\. .* The pump is o/,
    /heading "Notes of this moment" \[level=2\]/,
    /term: Pressure at the tank/,
    /definition: \d+\.\d psi/,
    /term: Used today/,
    /definition: .*gal/,
    /heading "Recorder" \[level=2\]/,
    /group "Recorder"/,
    /button "Earlier"/,
    /combobox "Time across the paper"/,
    /img "Recorder: Recorder strip from .* pressure between .* psi and .* No gap in the record\."/,
  ],
  Runs: [
    /heading "Runs" \[level=1\]/,
    /heading "Book of runs" \[level=2\]/,
    /region "Book of runs"/,
    /columnheader "Cut-in psi"/,
    /button "Lay over the normal run: run of .*" \[pressed\]/,
    /heading "The run of .* over the normal run" \[level=2\]/,
    /img "pressure: this run .* psi – .* psi; normal run .* psi – .* psi\."/,
    /img "current: this run/,
    /heading "What the pump gives and takes against pressure" \[level=2\]/,
    /img "Delivery: .* gpm at .* psi/,
    /img "Current: .* A at .* psi/,
  ],
  Water: [
    /heading "Water" \[level=1\]/,
    /group "By"/,
    /radio "day" \[checked\]/,
    /img "Bars of water used and lost by day, .* the most used is .* gal\."/,
    /columnheader "used gal"/,
    /columnheader "Cost USD"/,
    /heading "What is steady" \[level=2\]/,
    /heading "What is unusual" \[level=2\]/,
    /heading "Cost" \[level=2\]/,
    /paragraph: .*\d USD for the pump in \d{4}-\d\d\./,
  ],
  Condition: [
    /heading "Condition" \[level=1\]/,
    /heading "What is wrong" \[level=2\]/,
    /status: Nothing is wrong that these readings can tell\./,
    /heading "Trends" \[level=2\]/,
    /radio "a year" \[checked\]/,
    /figure "Switch: cut-in"/,
    /img "Switch: cut-in, \d days, from \d+.*psi/,
    /heading "What is not known" \[level=2\]/,
    /listitem: .*can't be judged from these channels/,
  ],
  Tests: [
    /heading "Tests" \[level=1\]/,
    /heading "Tests of this well" \[level=2\]/,
    /heading "bucket test" \[level=3\]/,
    /group: Steps and cautions bucket test/,
    /button "Begin the bucket test"/,
    /heading "electrician's check" \[level=3\]/,
  ],
  Gauges: [
    /heading "Gauges" \[level=1\]/,
    /heading "Pressure gauge" \[level=2\]/,
    /The device itself sends \d+\.\d psi, calibrated already/,
    /heading "Clamp meter" \[level=2\]/,
    /heading "The measuring chain" \[level=2\]/,
    /The well file does not tell the measuring chain/,
  ],
  'Well book': [
    /heading "Well book" \[level=1\]/,
    /heading "Write in the book" \[level=2\]/,
    /radio "a note" \[checked\]/,
    /textbox "What there is to say"/,
    /textbox "Your name, for the record"/,
    /button "Put it in the book"/,
    /heading "What comes round" \[level=2\]/,
    /strong: Air charge of the tank/,
    /heading "The book" \[level=2\]/,
    /status: Nothing is in the book yet\./,
    /heading "The well file" \[level=2\]/,
  ],
};

/** What has the focus, and what is wrong with how it shows; null once it is back at the window. */
function focused(): { name: string; trouble: string[] } | null {
  const one = document.activeElement;
  if (one === null || one === document.body) return null;
  const box = one.getBoundingClientRect();
  // What is larger than the window shows where it lies in it.
  const [left, top] = [Math.max(0, box.left), Math.max(0, box.top)];
  const [x, y] = [
    (left + Math.min(box.right, left + 40)) / 2,
    (top + Math.min(box.bottom, top + 24)) / 2,
  ];
  const at = document.elementFromPoint(x, y);
  const { outlineStyle, outlineWidth } = getComputedStyle(one);
  const isSeen = at !== null && (one.contains(at) || at.contains(one));
  const trouble = [
    ...(outlineStyle === 'none' || Number.parseFloat(outlineWidth) < 2 ? ['no outline'] : []),
    ...(isSeen ? [] : [`covered at ${x}, ${y} by ${at?.outerHTML.slice(0, 80)}`]),
  ];
  return { name: one.getAttribute('aria-label') ?? one.textContent ?? one.tagName, trouble };
}

/** What stands on the edge of the sheet, and not within its margins. */
function offMargin(): string[] {
  const sheet = document.querySelector('main')!.getBoundingClientRect();
  return [...document.querySelectorAll('main > *')]
    .map((one) => ({ one, box: one.getBoundingClientRect() }))
    .filter(({ box }) => box.width > 0 && box.left - sheet.left < 8)
    .map(({ one }) => one.outerHTML.slice(0, 60));
}

describe.runIf(hasBrowser)('each sheet', () => {
  let at: Awaited<ReturnType<typeof opened>>;
  const pages = new Map<string, Page>();
  beforeAll(async () => {
    at = await opened([LOG.toml + PRICE, BARN, SHED]);
    await send(at.on, LOG, { shiftS: SHIFT_S });
    await send(at.on, LOG, { shiftS: SHIFT_S, wellId: 'shed' });
    await at.on.service.wells.advance();
    for (const [width, viewport] of Object.entries(WIDTHS))
      pages.set(width, await at.page('/', { viewport }));
  }, 60_000);
  afterAll(() => at.close());

  for (const [name, place] of Object.entries(SCREENS))
    for (const width of Object.keys(WIDTHS))
      it(`${name} on the ${width}: says what it shows, fits, axe finds nothing`, async () => {
        const page = pages.get(width)!;
        await page.goto(`${at.address}/wells/${ID}${place}`);
        await drawn(page);
        const said = (await page.locator('main').ariaSnapshot()).replaceAll(/ +/g, ' ');
        let from = 0;
        for (const expected of SAID[name as keyof typeof SCREENS]) {
          const found = expected.exec(said.slice(from));
          expect(found, `${expected} after:\n${said.slice(from, from + 1500)}`).not.toBeNull();
          from += found!.index;
        }
        const overflow = await page.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
        );
        expect(overflow).toBeLessThanOrEqual(0);
        expect(await page.evaluate(offMargin)).toEqual([]);
        expect(await violations(page)).toEqual([]);
        await page.emulateMedia({ colorScheme: 'dark' });
        expect(await violations(page)).toEqual([]);
        await page.emulateMedia({ colorScheme: 'light' });
        expect(at.faults).toEqual([]);
      });

  it('a well of which little is told shows what can be known, and says what cannot', async () => {
    const page = pages.get('phone')!;
    await page.goto(`${at.address}/wells/shed`);
    await drawn(page);
    await page.getByText('No depth is told: not to scale.').waitFor();
    await page.getByText('level not known: have it sounded').waitFor();
    await page.getByText('foot valve or ejector').waitFor();
    expect(await page.locator('figure.section').textContent()).toContain('A jet pump stands');
    expect(await page.locator('figure.section').textContent()).not.toContain('cable');
    // The figure of the sentence moves with each reading, and is no news by itself.
    const figure = await page.locator('.standing [aria-live=off]').textContent();
    expect(figure).toMatch(/^\d+\u00a0kPa$/);
    expect(await page.getByText(/^\d+ kPa$/).count()).toBeGreaterThan(0);
    expect(await page.locator('dd').allTextContents()).toContainEqual(
      expect.stringMatching(/drawdowns/),
    );
    await page.goto(`${at.address}/wells/shed/water`);
    await drawn(page);
    await page.getByRole('columnheader', { name: 'used drawdowns' }).waitFor();
    await page.getByText('The well file tells no price of energy').waitFor();
    await page.goto(`${at.address}/wells/shed/runs`);
    await drawn(page);
    await page.getByRole('img', { name: 'Delivery: not learnt yet.' }).waitFor();
    expect(await violations(page)).toEqual([]);
    expect(at.faults).toEqual([]);
  });

  it('goes from days to hours, months and years of water, and to any day', async () => {
    const page = pages.get('desk')!;
    await page.goto(`${at.address}/wells/${ID}/water`);
    await drawn(page);
    const names = () => page.locator('tbody th').allTextContents();
    const days = await names();
    expect(days.length).toBeGreaterThanOrEqual(5);
    await page.getByRole('button', { name: `Show the hours of ${days[1]}` }).click();
    await expect.poll(names).toHaveLength(24);
    await page.getByRole('button', { name: 'Day after' }).click();
    const picked = page.getByLabel('Day whose hours are shown');
    await expect.poll(() => picked.inputValue()).toBe(days[0]);
    expect(await page.getByRole('button', { name: 'Day after' }).isDisabled()).toBe(true);
    await picked.fill(days.at(-2)!);
    await expect.poll(names).toHaveLength(24);
    expect(await violations(page)).toEqual([]);
    await page.getByRole('radio', { name: 'month' }).check();
    await expect.poll(names).toContain(days[0]!.slice(0, 7));
    await page.getByRole('radio', { name: 'year' }).check();
    await expect.poll(names).toContain(days[0]!.slice(0, 4));
    expect(at.faults).toEqual([]);
  });

  it('shows ten years of trends by weeks', async () => {
    const page = pages.get('desk')!;
    await page.goto(`${at.address}/wells/${ID}/condition`);
    await drawn(page);
    await page.getByRole('radio', { name: 'ten years' }).check();
    // The week that goes on is not drawn yet, so the five days may lie in one or two.
    await page.getByRole('figure', { name: 'Sensors: part of the day recorded' }).waitFor();
    await expect
      .poll(() =>
        page
          .locator('figure')
          .allTextContents()
          .then((all) => all.join()),
      )
      .not.toContain('Reading');
    const spoken = () =>
      page.locator('.trends svg[role=img]').evaluateAll((all) => all.map((one) => one.ariaLabel));
    await expect
      .poll(async () => (await spoken()).every((one) => !/\d days/.test(one!)))
      .toBe(true);
    expect(at.faults).toEqual([]);
  });

  it('reads without scrolling sideways at 320 pixels (WCAG 1.4.10)', async () => {
    const page = await at.page('/', { viewport: { width: 320, height: 640 } });
    for (const place of Object.values(SCREENS)) {
      await page.goto(`${at.address}/wells/${ID}${place}`);
      await drawn(page);
      const overflow = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(overflow, place).toBeLessThanOrEqual(0);
    }
    await page.context().close();
  });

  it('shows where the focus is at every stop of Tab (WCAG 2.4.7, 2.4.11)', async () => {
    const page = await at.page('/', { viewport: WIDTHS.phone });
    for (const place of Object.values(SCREENS)) {
      await page.goto(`${at.address}/wells/${ID}${place}`);
      await drawn(page);
      const stops: string[] = [];
      for (let i = 0; i < 200; i++) {
        await page.keyboard.press('Tab');
        const stop = await page.evaluate(focused);
        if (stop === null) break;
        expect(stop.trouble, `${place} ${stop.name}`).toEqual([]);
        stops.push(stop.name);
      }
      const all = await page.evaluate(
        () =>
          [...document.querySelectorAll('a, button:not(:disabled), select, input, summary')]
            .filter((one) => one.checkVisibility())
            .filter(
              (one) =>
                (one as HTMLInputElement).type !== 'radio' || (one as HTMLInputElement).checked,
            ).length,
      );
      // Whatever scrolls is a stop as well.
      expect(stops.length, stops.join(', ')).toBeGreaterThanOrEqual(all);
    }
    await page.context().close();
  });

  it('holds together with text twice as large (WCAG 1.4.4)', async () => {
    // 1280 by 900 at twice the size; and letters alone twice as large.
    const page = await at.page('/', { viewport: { width: 640, height: 450 } });
    for (const place of Object.values(SCREENS))
      for (const size of ['100%', '200%']) {
        await page.goto(`${at.address}/wells/${ID}${place}`);
        await drawn(page);
        await page.evaluate((percent) => {
          document.documentElement.style.fontSize = percent;
        }, size);
        const overflow = await page.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
        );
        expect(overflow, `${place} ${size}`).toBeLessThanOrEqual(0);
      }
    await page.context().close();
  });

  it('prints each sheet without what is only pressed, steps with their cautions', async () => {
    const page = pages.get('desk')!;
    for (const place of Object.values(SCREENS)) {
      await page.goto(`${at.address}/wells/${ID}${place}`);
      await drawn(page);
      await page.emulateMedia({ media: 'print' });
      const pressed = await page.evaluate(() =>
        [...document.querySelectorAll('main button, main input, main textarea, nav')]
          // Times and dates in a table are figures as well.
          .filter((one) => one.closest('table, fieldset') === null && one.checkVisibility())
          .map((one) => one.outerHTML.slice(0, 80)),
      );
      expect(pressed, place).toEqual([]);
      if (place === '/tests') {
        const caution = page.locator('.test-list [data-caution="breaker-back-on"]').first();
        const box = await caution.boundingBox();
        expect(box?.height).toBeGreaterThan(10);
      }
      await page.emulateMedia({ media: 'screen' });
    }
  });

  it('prints without its knobs, in ink on white by night as well', async () => {
    const page = pages.get('desk')!;
    await page.goto(`${at.address}/wells/${ID}`);
    await drawn(page);
    await page.emulateMedia({ media: 'print' });
    expect(await page.locator('.knobs').first().isVisible()).toBe(false);
    expect(await page.locator('nav').isVisible()).toBe(false);
    expect(await page.locator('.cell.name').isVisible()).toBe(true);
    expect(await page.getByRole('img', { name: 'Section of the well' }).isVisible()).toBe(true);
    await page.emulateMedia({ media: 'screen', colorScheme: 'dark' });
    const paper = () =>
      page.locator('canvas').evaluate((canvas: HTMLCanvasElement) => {
        const [r = 0] = canvas.getContext('2d')!.getImageData(2, canvas.height / 2, 1, 1).data;
        return r > 128 ? 'light' : 'dark';
      });
    await expect.poll(paper).toBe('dark');
    await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
    await expect.poll(paper).toBe('light');
    await page.emulateMedia({ media: 'screen', colorScheme: 'light' });
  });
});
