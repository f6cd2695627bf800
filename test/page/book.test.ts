import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ACT_CAUTIONS } from '../../src/model/cautions.ts';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { ROOT } from '../support/source-scan.ts';
import { drawn, hasBrowser, opened, send, violations } from './opened.ts';

const LOG = rehearsedLog({ letter: 'C', days: 3, seed: 61, restS: 60 });
const ID = LOG.well.id;
/** The rehearsed log ends a minute ago. */
const SHIFT_S = Math.floor(Date.now() / 1000) - 60 - Math.ceil(LOG.timeS.at(-1)!);
const WIDTHS = { phone: { width: 390, height: 844 }, desk: { width: 1440, height: 900 } };

describe.runIf(hasBrowser)('the Well book', () => {
  let at: Awaited<ReturnType<typeof opened>>;
  let file: string;
  beforeAll(async () => {
    at = await opened([LOG.toml]);
    file = join(at.on.folder, 'well-0.toml');
    await send(at.on, LOG, { shiftS: SHIFT_S });
    await at.on.service.wells.advance();
  }, 60_000);
  afterAll(() => at.close());

  const open = async (width: keyof typeof WIDTHS): Promise<Page> => {
    const page = await at.page(`/wells/${ID}/book`, { viewport: WIDTHS[width] });
    await page.getByRole('heading', { name: 'The book', exact: true }).waitFor();
    return page;
  };
  const fits = async (page: Page) => {
    const overflow = await page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
    expect(overflow).toBeLessThanOrEqual(0);
    expect(await violations(page)).toEqual([]);
    await page.emulateMedia({ colorScheme: 'dark' });
    expect(await violations(page)).toEqual([]);
    expect(at.faults).toEqual([]);
  };

  it('takes a service, which closes an epoch and stands on the trends', async () => {
    const page = await open('phone');
    await page.getByRole('radio', { name: 'a service' }).check();
    // It was made a day before the record ends.
    const on = new Date((SHIFT_S + LOG.timeS.at(-1)! - 86_400) * 1000).toISOString().slice(0, 16);
    await page.getByLabel(/^When/).fill(on);
    await page.getByLabel('What was done').fill('new pressure tank');
    await page.getByRole('checkbox', { name: 'tank' }).check();
    await page
      .locator('.write')
      .getByText(/Bursting tanks have killed people/)
      .waitFor();
    await page.getByRole('combobox', { name: 'Part' }).selectOption('tank');
    await page.getByRole('textbox', { name: 'Value with its unit' }).fill('44');
    await page.getByLabel(/^Your name/).fill('Keeper');
    await page.getByRole('button', { name: 'Put it in the book' }).click();
    await page
      .getByText(/service\[1\]\.now\.tank\.volume\.value: expected .* found "44"/)
      .waitFor();
    expect(readFileSync(file, 'utf8')).toBe(LOG.toml);

    await page.getByRole('textbox', { name: 'Value with its unit' }).fill('44 gal');
    await page.getByRole('button', { name: 'Put it in the book' }).click();
    const row = page.getByRole('row', { name: /service new pressure tank/ });
    await row.waitFor();
    const says = await row.textContent();
    expect(says).toContain('What was learnt of tank ends here and is learnt anew.');
    expect(says).toMatch(/From now on: tank 44(\.\d)? ± \S+ gal\./);
    expect(says).toContain('Keeper');
    expect(readFileSync(file, 'utf8').startsWith(LOG.toml)).toBe(true);
    expect(at.on.service.wells.get(ID)?.well.services).toMatchObject([
      { did: 'new pressure tank', resets: ['tank'] },
    ]);
    // The tank of then holds up to the service, the new one from there on.
    const scale = async () => (await at.on.get(`wells/${ID}/outline`)).body.scale;
    await expect.poll(scale, { timeout: 20_000 }).toHaveLength(2);
    expect((await scale())[1].from.slice(0, 16)).toBe(on);
    await fits(page);
    await page.goto(`${at.address}/wells/${ID}/condition`);
    await drawn(page);
    await page.getByRole('listitem').filter({ hasText: 'new pressure tank' }).waitFor();
    expect(await page.locator('.service-line').count()).toBeGreaterThan(3);
    await page.context().close();
  });

  it('has beside work on each part the cautions of that work, and no other', async () => {
    const page = await open('desk');
    await page.getByRole('radio', { name: 'a service' }).check();
    // By hand: which act of the table of cautions such work is.
    const acts = {
      tank: 'replace-tank',
      pump: 'open-well',
      well: 'open-well',
      switch: 'work-on-switch',
      'pressure sensor': 'fit-pressure-sensor',
      'current sensor': 'fit-current-clamp',
      plumbing: 'fit-pressure-sensor',
    } as const;
    for (const [part, act] of Object.entries(acts)) {
      const box = page.getByRole('checkbox', { name: part, exact: true });
      await box.check();
      const shown = await page
        .locator('.write [data-caution]')
        .evaluateAll((all) => all.map((one) => (one as HTMLElement).dataset.caution));
      expect(shown, part).toEqual([...ACT_CAUTIONS[act]]);
      await box.uncheck();
    }
    await page.context().close();
  });

  it('takes a note with a photo, and nothing in that but the picture', async () => {
    const page = await open('desk');
    const photo = readFileSync(join(ROOT, 'test', 'photos', 'plain.jpg'));
    expect(photo.toString('latin1')).toContain('Told-Nobody');
    await page.getByLabel('What there is to say').fill('Gauge reads 58 at cut-out.');
    await page
      .getByLabel(/^Photos/)
      .setInputFiles({ name: 'gauge.jpg', mimeType: 'image/jpeg', buffer: photo });
    await page.getByLabel(/^Your name/).fill('Keeper');
    await page.getByRole('button', { name: 'Put it in the book' }).click();
    const picture = page.getByRole('img', { name: 'Photo 1 of: Gauge reads 58 at cut-out.' });
    await picture.waitFor();
    expect(
      await picture.evaluate(async (img: HTMLImageElement) => {
        img.loading = 'eager';
        await img.decode();
        return [img.naturalWidth, img.naturalHeight];
      }),
      // It lay on its side, and is shown upright.
    ).toEqual([16, 24]);
    const answer = await fetch(at.address + (await picture.getAttribute('src')));
    const kept = Buffer.from(await answer.arrayBuffer()).toString('latin1');
    expect(kept.length).toBeGreaterThan(300);
    expect(kept).not.toMatch(/Told-Nobody|GPS/);
    await fits(page);
    await page.context().close();
  });

  it('makes a large photo smaller before it is sent', async () => {
    const page = await open('phone');
    const noise = await page.evaluate(async () => {
      const canvas = new OffscreenCanvas(2400, 1200);
      const paper = canvas.getContext('2d')!;
      const pixels = paper.createImageData(2400, 1200);
      const words = new Uint32Array(pixels.data.buffer);
      for (let i = 0, next = 1; i < words.length; i++) {
        next = Math.imul(next, 1_664_525) + 1_013_904_223;
        words[i] = next | 0xff000000;
      }
      paper.putImageData(pixels, 0, 0);
      const blob = await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 });
      const reader = new FileReader();
      reader.readAsDataURL(blob);
      await new Promise((done) => reader.addEventListener('load', done));
      return String(reader.result).split(',')[1]!;
    });
    const buffer = Buffer.from(noise, 'base64');
    expect(buffer.length).toBeGreaterThan(1_500_000);
    const photo = { name: 'large.jpg', mimeType: 'image/jpeg', buffer };
    await page.getByLabel(/^Photos/).setInputFiles(photo);
    await page.getByLabel('What there is to say').fill('Label of the motor.');
    await page.getByLabel(/^Your name/).fill('Keeper');
    await page.getByRole('button', { name: 'Put it in the book' }).click();
    await page.getByRole('img', { name: 'Photo 1 of: Label of the motor.' }).waitFor();
    const { entries } = (await at.on.get(`wells/${ID}/book`)).body;
    const [kept] = entries.at(-1).act.photos;
    expect(kept).toMatchObject({ type: 'image/jpeg', widthPx: 2000, heightPx: 1000 });
    expect(kept.bytes).toBeLessThan(buffer.length);
    await fits(page);
    await page.context().close();
  });

  it('tells what comes round, with how and its cautions', async () => {
    const page = await open('phone');
    const due = page.getByRole('region', { name: 'What comes round' });
    const sample = due.getByRole('listitem').filter({ hasText: 'Water sample' });
    await sample.getByText(/due since the plumbing or the well was open/).waitFor();
    await page.getByRole('radio', { name: 'a water sample taken' }).check();
    await page.getByLabel(/^Your name/).fill('Keeper');
    await page.getByRole('button', { name: 'Put it in the book' }).click();
    await sample.getByText(/last on .*, due by/).waitFor();
    const air = due.getByRole('listitem').filter({ hasText: 'Air charge of the tank' });
    await air.getByText('How').first().click();
    expect(await air.locator('[data-caution="tank-drained-power-off"]').count()).toBeGreaterThan(0);
    expect(await violations(page)).toEqual([]);
    await page.context().close();
  });

  it('gives the record as files, and a backup, to take away', async () => {
    const page = await open('phone');
    await page.getByText('The record as files').click();
    await fits(page);
    const taken = async (press: Promise<void>) =>
      readFileSync(await (await Promise.all([page.waitForEvent('download'), press]))[0].path());
    const link = (name: string) => page.getByRole('link', { name, exact: true }).click();
    expect((await taken(link('The study of all readings, as text'))).toString()).toMatch(/^Case C/);
    const log = (await taken(link('All raw readings as a log, CSV'))).toString();
    expect(log.split('\n')).toHaveLength(new Set(LOG.timeS).size + 2);
    await page
      .getByLabel(/^Your name/)
      .last()
      .fill('Keeper');
    const press = page.getByRole('button', { name: 'Make a backup and take it' }).click();
    expect((await taken(press)).subarray(0, 15).toString()).toBe('SQLite format 3');
    await page.getByText('Made, checked and handed to this browser as a file.').waitFor();
    await page.context().close();
  });

  it('leads from what comes round to where it is done', async () => {
    const page = await open('phone');
    const due = page.getByRole('region', { name: 'What comes round' });
    await due.getByRole('link', { name: 'Write it in the book' }).click();
    expect(await page.getByRole('radio', { name: 'a water sample taken' }).isChecked()).toBe(true);
    await due.getByRole('link', { name: 'Go to Gauges' }).click();
    await page.getByRole('heading', { name: 'The measuring chain' }).waitFor();
    await page.goBack();
    await due.getByRole('link', { name: 'Go to Tests' }).click();
    await page.getByRole('button', { name: 'Begin the precharge test' }).waitFor();
    await page.context().close();
  });

  it('declares work on the well with an end, seen by all, and ends it', async () => {
    const page = await open('phone');
    const other = await at.page(`/wells/${ID}/condition`, { viewport: WIDTHS.desk });
    const work = page.getByRole('region', { name: 'Work on the well' });
    await work.getByText('None is declared: whatever goes wrong is told.').waitFor();
    await work.getByRole('button', { name: 'Declare work on the well' }).click();
    await work.getByLabel('What is done').fill('new foot valve');
    await work.getByLabel('It ends by itself after').selectOption({ label: '2 hours' });
    await work.getByRole('button', { name: 'It begins now' }).click();
    await work.getByText('Not done: write your name first').waitFor();
    await work.getByLabel(/^Your name/).fill('Keeper');
    await fits(page);
    await work.getByRole('button', { name: 'It begins now' }).click();
    const says = /^Work on the well is declared by Keeper: new foot valve\. Nothing new is told/;
    await work.getByText(says).waitFor();
    await other.getByText(says).waitFor();
    const { service } = (await at.on.get(`wells/${ID}/alarms`)).body;
    expect((Date.parse(service.until) - Date.parse(service.from)) / 3_600_000).toBe(2);
    await fits(page);
    await work.getByRole('button', { name: 'The work is done' }).click();
    await work.getByText('None is declared: whatever goes wrong is told.').waitFor();
    await other.getByText(says).waitFor({ state: 'detached' });
    await page.context().close();
    await other.context().close();
  });

  it('shows errors of the well file in their places, by the keyboard alone', async () => {
    const page = await open('desk');
    await page.getByText('Edit it here').focus();
    await page.keyboard.press('Enter');
    const text = page.getByRole('textbox', { name: 'Text of the well file' });
    await text.waitFor();
    const before = await text.inputValue();
    expect(before).toBe(readFileSync(file, 'utf8'));
    await text.fill(before.replace('people = 2', 'peeple = 3\npeople = "two"'));
    await page.getByText('2 things are wrong:').waitFor();
    expect(await text.getAttribute('aria-invalid')).toBe('true');
    const line = before.split('\n').indexOf('people = 2') + 1;
    expect(await page.locator('.file-text .wrong').allTextContents()).toEqual([
      `✕ ${line}\n`,
      `✕ ${line + 1}\n`,
    ]);
    await fits(page);
    const place = page.getByRole('button', { name: `Line ${line + 1}, column` });
    await place.focus();
    await page.keyboard.press('Enter');
    expect(
      await text.evaluate((area: HTMLTextAreaElement) => {
        const { selectionStart, selectionEnd, value } = area;
        return [document.activeElement === area, value.slice(selectionStart, selectionEnd)];
      }),
    ).toEqual([true, '"two"']);
    await page
      .locator('.well-file')
      .getByLabel(/^Your name/)
      .fill('Keeper');
    await page.getByRole('button', { name: 'Let it hold' }).click();
    await page.getByText('It does not hold: mend what is wrong first.').waitFor();
    expect(readFileSync(file, 'utf8')).toBe(before);

    await text.fill(before.replace('people = 2', 'people = 4'));
    await page.getByText('Nothing is wrong in it.').waitFor();
    await page.getByRole('button', { name: 'Let it hold' }).click();
    await page.getByText(/^It holds now\./).waitFor();
    expect(at.on.service.wells.get(ID)?.well.people).toBe(4);

    const meanwhile = `${readFileSync(file, 'utf8')}# by another hand\n`;
    writeFileSync(file, meanwhile);
    await text.fill(before.replace('people = 2', 'people = 5'));
    await page.getByRole('button', { name: 'Let it hold' }).click();
    await page.getByText(/^Somebody else has changed the file meanwhile\./).waitFor();
    expect(readFileSync(file, 'utf8')).toBe(meanwhile);
    await page.getByRole('button', { name: 'Take the text that is there' }).click();
    expect(await text.inputValue()).toBe(meanwhile);

    // Line ends of the file stay as they are, whatever a browser makes of them.
    const windows = meanwhile.replaceAll('\n', '\r\n');
    writeFileSync(file, windows);
    await page.reload();
    await page.getByText('Edit it here').click();
    await text.fill(meanwhile.replace('people = 4', 'people = 6'));
    await page.getByRole('button', { name: 'Let it hold' }).click();
    await page.getByText(/^It holds now\./).waitFor();
    expect(readFileSync(file, 'utf8')).toBe(windows.replace('people = 4', 'people = 6'));
    await page.context().close();
  });
});
