/**
 * Icons of the page as pictures, from page/public/icon.svg: `node scripts/page-icons.ts`. Some
 * systems take no drawing, and cut round what they are given: the maskable one keeps its drawing
 * within the middle 80 of 100 (W3C, Web Application Manifest, section "Icon masks and safe zone").
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { chromiumPath, openBrowser } from '../test/support/browser.ts';

const PUBLIC = join(import.meta.dirname, '..', 'page', 'public');
/** Name, size in pixels, share of the picture that the drawing has. */
const ICONS = [
  ['icon-192.png', 192, 1],
  ['icon-512.png', 512, 1],
  ['icon-maskable-512.png', 512, 0.8],
] as const;

const path = chromiumPath();
if (path === null) throw new Error('no chromium here');
const svg = readFileSync(join(PUBLIC, 'icon.svg'), 'utf8');
const [, ground = ''] = /<rect width="64" height="64" fill="(#\w+)"/.exec(svg) ?? [];
const browser = await openBrowser(path);
for (const [name, size, share] of ICONS) {
  const page = await browser.newPage({ viewport: { width: size, height: size } });
  const edge = (size * (1 - share)) / 2;
  await page.setContent(
    `<style>body{margin:${edge}px;background:${ground}}svg{display:block}</style>${svg.replace(
      '<svg ',
      `<svg width="${size * share}" height="${size * share}" `,
    )}`,
  );
  await page.screenshot({ path: join(PUBLIC, name) });
  console.log(name);
}
await browser.close();
