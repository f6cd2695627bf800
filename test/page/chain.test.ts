import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { hasBrowser, opened, violations } from './opened.ts';

const TOML = `# by the kitchen door
name = "Mill"
id = "mill"
time_zone = "UTC"

[switch]
cut_in = "40 psi"
cut_out = "60 psi" # as set in spring

[pump]
service_factor_current = "9.8 A"
`;

/** Answers of a part by the start of their question; the rest is not known. */
async function answer(page: Page, known: [ask: RegExp, text: string][]): Promise<void> {
  for (const [ask, text] of known) {
    const field = page.getByLabel(ask).or(page.getByRole('group', { name: ask }));
    while (!(await field.isVisible()))
      await page.getByRole('button', { name: 'I don’t know' }).click();
    const word = field.getByRole('radio', { name: text, exact: true });
    if ((await word.count()) > 0) await word.check();
    else await field.fill(text);
    await page.getByRole('button', { name: 'Next' }).click();
    await field.waitFor({ state: 'detached' });
  }
}

const CLAMP: [RegExp, string][] = [
  [/^Rated current of the clamp/, '30 A'],
  [/^Its output at the rated current/, '15 mA'],
];

describe.runIf(hasBrowser)('the measuring chain on the page', () => {
  let at: Awaited<ReturnType<typeof opened>>;
  let file: string;
  beforeAll(async () => {
    at = await opened([TOML]);
    file = join(at.on.folder, 'well-0.toml');
  }, 30_000);
  afterAll(() => at.close());

  const PHONE = { viewport: { width: 390, height: 844 } };
  const press = (page: Page, name: string) => page.getByRole('button', { name }).click();
  async function looks(page: Page) {
    for (const width of [390, 1440]) {
      await page.setViewportSize({ width, height: 844 });
      expect(await violations(page)).toEqual([]);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      expect(wide).toBeLessThanOrEqual(width);
    }
    await page.setViewportSize(PHONE.viewport);
  }

  it('is told by questions, drawn, its fault told, and mended by the same', async () => {
    const page = await at.page('/wells/mill/gauges', { ...PHONE, hasTouch: true });
    await page.getByText('does not tell the measuring chain yet').waitFor();
    await looks(page);
    await press(page, 'The current clamp');
    await page.getByText('Question 1 of 11').waitFor();
    await looks(page);
    // What cannot be is asked again, with what was expected and found.
    await page.getByLabel(CLAMP[0]![0]).fill('30 psi');
    await press(page, 'Next');
    await page.getByText(/^expected a current.*found "30 psi"/).waitFor();
    await answer(page, CLAMP);
    await press(page, 'Leave the rest as it is');
    await page.getByText('current.output = "15 mA"').waitFor();
    await page.getByLabel(/^Your name/).fill('Keeper');
    await looks(page);
    await press(page, 'Write it into the well file');
    await page.getByText('It stands in the well file').waitFor();

    const fault = page.getByText(/^Destroys: the output is a current .* no burden is told/);
    await fault.waitFor();
    expect(await page.locator('.drawn-chain svg').count()).toBe(1);
    expect(await page.locator('[data-caution="transformer-secondary-closed"]').count()).not.toBe(0);
    await page.getByText('2 of 11 answered').waitFor();
    await looks(page);
    const told = '\n[sensing.current]\nrange = "30 A"\noutput = "15 mA"\n';
    expect(readFileSync(file, 'utf8')).toBe(TOML + told);

    await press(page, 'The current clamp');
    expect(await page.getByLabel(CLAMP[0]![0]).inputValue()).toBe('30 A');
    await press(page, 'Next');
    await press(page, 'Next');
    await answer(page, [[/^Resistor across a current output/, '22 ohm']]);
    await press(page, 'Leave the rest as it is');
    await press(page, 'Write it into the well file');
    await fault.waitFor({ state: 'detached' });
    expect(readFileSync(file, 'utf8')).toBe(`${TOML}${told}burden = "22 ohm"\n`);
    const last = (await at.on.get('wells/mill/book')).body.entries.at(-1);
    expect(last.act).toMatchObject({ what: 'edited', by: 'Keeper' });
    await page.context().close();
  }, 60_000);

  it('is told by keys alone, and a key taken out again', async () => {
    const page = await at.page('/wells/mill/gauges', { viewport: { width: 1440, height: 900 } });
    const part = page.getByRole('button', { name: 'How often it reads' });
    const typed = async (text: string) => {
      const field = page.locator('#answer');
      if (!(await field.evaluate((one) => one === document.activeElement))) await field.focus();
      await page.keyboard.press('Control+a');
      await page.keyboard.type(text);
      await page.keyboard.press('Enter');
    };
    const tabTo = async (name: string) => {
      for (let k = 0; k < 30; k++) {
        await page.keyboard.press('Tab');
        const on = await page.evaluate(() => document.activeElement?.textContent ?? '');
        if (on === name) return page.keyboard.press('Enter');
      }
      throw new Error(`no way to ${name}`);
    };
    await part.focus();
    await page.keyboard.press('Enter');
    await page.getByText('Question 1 of 6').waitFor();
    await typed('60 s');
    await page.getByText('Question 2 of 6').waitFor();
    await tabTo('Leave the rest as it is');
    await page.getByText('sampling.interval = "60 s"').waitFor();
    await page.getByLabel(/^Your name/).focus();
    await page.keyboard.type('Keeper');
    await tabTo('Write it into the well file');
    await page.getByText('It stands in the well file').waitFor();
    await page.getByText(/^Limits: a reading every 60 s cannot tell when/).waitFor();
    expect(await page.evaluate(() => document.activeElement?.textContent)).toMatch(/^It stands/);

    await part.focus();
    await page.keyboard.press('Enter');
    await page.getByText('Question 1 of 6').waitFor();
    await tabTo('I don’t know');
    await tabTo('Leave the rest as it is');
    await page.getByText('sampling.interval is taken out').waitFor();
    await tabTo('Write it into the well file');
    await page.getByText('It stands in the well file').waitFor();
    expect(readFileSync(file, 'utf8')).not.toContain('interval');
    await page.context().close();
  }, 60_000);

  it('stands beside the installation, worked out from the well file', async () => {
    const page = await at.page('/wells/mill/gauges', PHONE);
    await page.getByText('Work it out from the well file').click();
    await page.getByText(/^\d+ of \d+ results can be worked out/).waitFor();
    await page.getByText('Installation of Mill (mill)').waitFor();
    await looks(page);
    await page.context().close();
  });

  it('that is written in another way is left alone, and that is said', async () => {
    writeFileSync(file, `sensing = { bus.wire = "1 m" }\n${TOML}`);
    await at.on.service.book('mill')!.noticed();
    const page = await at.page('/wells/mill/gauges', PHONE);
    await press(page, 'The bus between');
    await page.getByLabel(/^Logic level/).fill('3.3 V');
    await press(page, 'Next');
    await press(page, 'Leave the rest as it is');
    await page.getByLabel(/^Your name/).fill('Keeper');
    await press(page, 'Write it into the well file');
    await page.getByText(/expected tables such as \[sensing\.pressure\]/).waitFor();
    expect(readFileSync(file, 'utf8')).toContain('{ bus.wire = "1 m" }');
    expect(at.faults).toEqual([]);
    await page.context().close();
  }, 60_000);
});
