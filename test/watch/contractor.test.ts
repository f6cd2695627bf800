import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { study } from '../../src/cli/commands/study.ts';
import { CAUTIONS } from '../../src/model/cautions.ts';
import type { FaultName } from '../../src/model/faults.ts';
import type { FindingEntry } from '../../src/model/study.ts';
import { FAULT_WORDS } from '../../src/report/words.ts';
import { has } from '../support/mosquitto.ts';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { joined } from './joined.ts';

const hasExtractor = has('pdftotext');
const LOG = rehearsedLog({
  ...{ letter: 'C', days: 7, seed: 61, restS: 20, bucketDays: [1] },
  faults: [{ name: 'tank-waterlogged', onsetDay: 4, growthDays: 0.5 }],
});
const ID = LOG.well.id;
const COMPLAINT = 'Pump clicks in the shower – at 40 °F ± 2. Żółw. Насос. "<b>"';
const folder = mkdtempSync(join(tmpdir(), 'wellwright-contractor-'));

let on: Awaited<ReturnType<typeof joined>>;
beforeAll(async () => {
  on = await joined([LOG.toml]);
  const records = LOG.timeS.map((t, i) => {
    const [n, u] = LOG.channel[i] === 0 ? ['pressure', 'Pa'] : ['current', 'A'];
    return { n, u, t, v: LOG.value[i] };
  });
  for (let at = 0; at < records.length; at += 2000)
    await on.post(ID, JSON.stringify(records.slice(at, at + 2000)));
}, 60_000);
afterAll(async () => {
  await on.close();
  rmSync(folder, { recursive: true });
});

const query = `complaint=${encodeURIComponent(COMPLAINT)}&by=Keeper`;
const sha256 = (text: string) => createHash('sha256').update(text).digest('hex');

/** What an independent program reads in a PDF, on one line. */
function extracted(pdf: Uint8Array): string {
  const file = join(folder, 'read.pdf');
  writeFileSync(file, pdf);
  const text = execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' });
  return text.replaceAll(/\s+/g, ' ');
}
const pagesOf = () =>
  Number(
    /Pages: +(\d+)/.exec(
      execFileSync('pdfinfo', [join(folder, 'read.pdf')], { encoding: 'utf8' }),
    )?.[1],
  );

/** Pages as pictures, 72 dots to the inch: where ink lies, in points. */
function inkOf(): { left: number; right: number; top: number; bottom: number; share: number }[] {
  execFileSync('pdftoppm', ['-r', '72', '-gray', join(folder, 'read.pdf'), join(folder, 'ink')]);
  const names = readdirSync(folder)
    .filter((name) => name.startsWith('ink'))
    .sort();
  return names.map((name) => {
    const picture = readFileSync(join(folder, name));
    const [head, width, height] = /^P5\s(\d+) (\d+)\s255\s/
      .exec(picture.subarray(0, 40).toString('latin1'))!
      .map((one, i) => (i === 0 ? one.length : Number(one))) as [number, number, number];
    const dark = [...picture.subarray(head)].flatMap((gray, i) => (gray < 128 ? [i] : []));
    const [xs, ys] = [dark.map((i) => i % width), dark.map((i) => Math.floor(i / width))];
    const ends = (all: number[]) => [
      all.reduce((a, b) => Math.min(a, b)),
      all.reduce((a, b) => Math.max(a, b)),
    ];
    const [[left, right], [top, bottom]] = [ends(xs), ends(ys)] as [
      [number, number],
      [number, number],
    ];
    return {
      ...{ left, right: width - right, top, bottom: height - bottom },
      share: dark.length / (width * height),
    };
  });
}

describe('the page for the contractor', () => {
  it('is one HTML file that needs nothing else and runs nothing', async () => {
    const answer = await fetch(`${on.api}/wells/${ID}/contractor.html?${query}`);
    expect(answer.headers.get('content-type')).toBe('text/html; charset=utf-8');
    const policy = answer.headers.get('content-security-policy')?.split('; ');
    for (const rule of ["default-src 'none'", "frame-ancestors 'none'", 'sandbox'])
      expect(policy).toContain(rule);
    const html = await answer.text();
    expect(html).toContain('&quot;&lt;b&gt;&quot;');
    expect(html).not.toMatch(/<script|src=|url\(|https?:/);
    expect(html.match(/<svg /g)).toHaveLength(4);
    const charts = [...html.matchAll(/<path class="now" d="([^"]+)"/g)];
    expect(charts.length).toBe(2);
    for (const [, path = ''] of charts) expect(path.split('L').length).toBeGreaterThan(4);
    expect(html.match(/<path class="band"/g)).toHaveLength(2);
  });

  it('says what was found, now against then, and what to measure', async () => {
    const html = await (await fetch(`${on.api}/wells/${ID}/contractor.html?${query}`)).text();
    const { findings } = (await on.get(`wells/${ID}/study`)).body;
    const open = (findings as FindingEntry[]).filter(
      ({ cleared, replacedBy }) => cleared === null && replacedBy === null,
    );
    expect(open.map(({ fault }) => fault)).toContain('tank-waterlogged');
    for (const { fault, probability } of open) {
      const odds = `${Math.round(100 * probability)}\u00a0%`;
      expect(html).toContain(`<h3>${FAULT_WORDS[fault as FaultName]}: ${odds}</h3>`);
    }
    const cells =
      /<th scope="row">Pumped each start<\/th><td>([\d.]+)\s±[^<]+<\/td><td>([\d.]+)\s±/;
    const [, before, now] = cells.exec(html) ?? [];
    // The tank has lost most of its air between the two.
    expect(Number(now)).toBeLessThan(0.6 * Number(before));
    expect(html).toMatch(/bucket test: [\d.]+\s±\s[\d.]+\sgal drawn/);
    expect(html).toContain('volts at the pump box');
    expect(html).toContain('static level 1');
    expect(html).toContain(CAUTIONS['mains-by-electrician']);
    expect(html).toContain(CAUTIONS['tank-rating']);
    expect(html).toContain(CAUTIONS['advisory-only']);
  });

  it('names its data by hashes that hold', async () => {
    const html = await (await fetch(`${on.api}/wells/${ID}/contractor.html`)).text();
    const named = /(\/api\/v1\/wells\/[^ ]*log\.csv[^ ]*) \(readings\): SHA-256 ([0-9a-f]{64})/;
    const [, address = '', hash] = named.exec(html.replaceAll('&amp;', '&')) ?? [];
    const log = await fetch(on.api.replace('/api/v1', '') + address);
    expect(sha256(await log.text())).toBe(hash);
    expect(html).toContain(sha256(readFileSync(join(on.folder, 'well-0.toml'), 'utf8')));
  });

  it.runIf(hasExtractor)('is a PDF with the same words, on two pages at most', async () => {
    const answer = await fetch(`${on.api}/wells/${ID}/contractor.pdf?${query}`);
    expect(answer.headers.get('content-type')).toBe('application/pdf');
    const text = extracted(new Uint8Array(await answer.arrayBuffer()));
    expect(pagesOf()).toBeLessThanOrEqual(2);
    // As pictures: letters and lines on both, none of them off the paper's margins.
    const pictures = inkOf();
    expect(pictures).toHaveLength(pagesOf());
    for (const { share, ...margins } of pictures) {
      expect(share).toBeGreaterThan(0.005);
      expect(share).toBeLessThan(0.3);
      for (const pt of Object.values(margins)) expect(pt).toBeGreaterThan(20);
    }
    expect(text).toContain('For the contractor: Case C');
    expect(text).toContain(COMPLAINT);
    expect(text).toContain('the tank has lost its air (waterlogged): ');
    expect(text).toMatch(/Cut-out [\d.]+ ± [\d.]+ psi [\d.]+ ± [\d.]+ psi/);
    expect(text).toContain('Nothing on this page asks that the pump be pulled');
    const html = await (await fetch(`${on.api}/wells/${ID}/contractor.html?${query}`)).text();
    const items = [...html.matchAll(/<(?:li|p|td|h[1234])>([^<]+)</g)].map(([, says = '']) =>
      says
        .replaceAll('&quot;', '"')
        .replaceAll('&lt;', '<')
        .replaceAll('&gt;', '>')
        .replaceAll('&amp;', '&')
        .replaceAll(/\s+/g, ' ')
        .trim(),
    );
    expect(items.length).toBeGreaterThan(50);
    const squeezed = text.replaceAll(' ', '');
    for (const says of items.filter((one) => !one.startsWith('Made ')))
      expect(squeezed).toContain(says.replaceAll(' ', ''));
  });

  it('bounds what is typed', async () => {
    const long = await on.get(`wells/${ID}/contractor.pdf?complaint=${'x'.repeat(601)}`);
    expect(long.body.code).toBe('bad-request');
  });

  it.runIf(hasExtractor)('is written by study, too, and writes over no file', async () => {
    const rows = LOG.timeS.map((t, i) =>
      LOG.channel[i] === 0 ? `${t},${LOG.value[i]},` : `${t},,${LOG.value[i]}`,
    );
    const log = join(folder, 'log.csv');
    const toml = join(folder, 'well.toml');
    writeFileSync(log, `time,pressure [Pa],current [A]\n${rows.join('\n')}\n`);
    writeFileSync(toml, LOG.toml);
    const out = join(folder, 'page.pdf');
    const asked = ['--well', toml, '--contractor', out, '--complaint', COMPLAINT, '--json', log];
    expect(await study(asked)).toBe(0);
    const text = extracted(readFileSync(out));
    expect(pagesOf()).toBeLessThanOrEqual(2);
    expect(text).toContain(COMPLAINT);
    expect(text).toContain('the tank has lost its air (waterlogged)');
    for (const [name, path] of Object.entries({ 'log.csv': log, 'well.toml': toml })) {
      const hash = sha256(readFileSync(path, 'utf8'));
      expect(text).toMatch(
        new RegExp(`${name.replace('.', '\\.')} \\([a-z ]+\\): SHA-256 ${hash}`),
      );
    }
    await expect(study(asked)).rejects.toThrow(/expected to write a new file .* found one there/);
    const wrong = ['--well', toml, '--contractor', join(folder, 'page.doc'), log];
    await expect(study(wrong)).rejects.toThrow(/ends in \.html or \.pdf/);
  });
});
