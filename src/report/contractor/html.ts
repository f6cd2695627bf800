import { chartMarks, type Mark, TEXT_PT } from './chart-lines.ts';
import type { Block, Chart, Part, Sheet } from './sheet.ts';

const CHART = { widthPt: 262, heightPt: 96 };

/** The sheet as one HTML file that needs nothing else, and prints on two pages. */
export function sheetHtml(sheet: Sheet): string {
  const { title, under, parts, lookUp, lookUpTitle, foot, paper } = sheet;
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    `<title>${plain(title)}</title>`,
    `<style>@page { size: ${paper}; margin: 12mm; }${STYLE}</style>`,
    '</head>',
    `<body${sheet.isDense ? ' class="dense"' : ''}>`,
    '<header>',
    `<h1>${plain(title)}</h1>`,
    ...under.map((says) => `<p>${plain(says)}</p>`),
    '</header>',
    '<main>',
    ...parts.map((one) => part(one)),
    '<div class="look-up">',
    `<h2>${plain(lookUpTitle)}</h2>`,
    ...lookUp.map((one) => part(one, 'h3')),
    '</div>',
    '</main>',
    `<footer><p>${plain(foot)}</p></footer>`,
    '</body>',
    '</html>',
    '',
  ].join('\n');
}

const ESCAPES: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };
const plain = (text: string): string => text.replaceAll(/[&<>"]/g, (mark) => ESCAPES[mark]!);

const part = ({ title, blocks }: Part, head: 'h2' | 'h3' = 'h2'): string => {
  const under = head === 'h2' ? 'h3' : 'h4';
  const all = blocks.map((one) => block(one, under)).join('\n');
  return `<section>\n<${head}>${plain(title)}</${head}>\n${all}\n</section>`;
};

const items = (all: readonly string[]): string =>
  all.map((one) => `<li>${plain(one)}</li>`).join('\n');

function block(one: Block, head: 'h3' | 'h4'): string {
  switch (one.kind) {
    case 'text':
      return `<p>${plain(one.says)}</p>`;
    case 'quoted':
      return one.says === null
        ? '<p class="room"></p>'
        : `<blockquote>${plain(one.says)}</blockquote>`;
    case 'item':
      return (
        `<article>\n<${head}>${plain(one.title)}</${head}>\n` +
        `<ul>\n${items(one.says)}\n</ul>\n</article>`
      );
    case 'list':
      return `<ul>\n${items(one.items)}\n</ul>`;
    case 'cautions':
      return `<ul class="cautions">\n${items(one.items)}\n</ul>`;
    case 'table':
      return table(one);
    case 'charts':
      return (
        `<div class="charts">\n${one.charts.map(figure).join('\n')}\n</div>\n` +
        `<p>${plain(one.note)}</p>`
      );
  }
}

function table({ heads, rows }: Extract<Block, { kind: 'table' }>): string {
  const head = heads.map((one) => `<th scope="col">${plain(one)}</th>`).join('');
  const lines = rows.map(([name = '', ...cells]) => {
    const rest = cells.map((cell) => `<td>${plain(cell)}</td>`).join('');
    return `<tr><th scope="row">${plain(name)}</th>${rest}</tr>`;
  });
  const body = `<tbody>\n${lines.join('\n')}\n</tbody>`;
  return `<table>\n<thead><tr>${head}</tr></thead>\n${body}\n</table>`;
}

function figure(chart: Chart): string {
  const { widthPt, heightPt } = CHART;
  const marks = chartMarks(chart, widthPt, heightPt).map(svg).join('');
  return (
    `<figure><figcaption>${plain(chart.title)}</figcaption>` +
    `<svg viewBox="0 0 ${widthPt} ${heightPt}" role="img" aria-label="${plain(chart.title)}">` +
    `${marks}</svg></figure>`
  );
}

const at = (value: number): string => String(Math.round(value * 100) / 100);
const path = (points: readonly [number, number][]): string =>
  points.map(([x, y], i) => `${i === 0 ? 'M' : 'L'}${at(x)} ${at(y)}`).join('');

function svg(mark: Mark): string {
  switch (mark.kind) {
    case 'line':
      return `<path class="${mark.style}" d="${path(mark.points)}"/>`;
    case 'area':
      return `<path class="band" d="${path(mark.points)}Z"/>`;
    case 'dot':
      return `<circle cx="${at(mark.x)}" cy="${at(mark.y)}" r="1.4"/>`;
    case 'text': {
      const { x, y, anchor, says } = mark;
      return `<text x="${at(x)}" y="${at(y)}" text-anchor="${anchor}">${plain(says)}</text>`;
    }
  }
}

const STYLE = `
body { margin: 0 auto; max-width: 48rem; padding: 0.5rem; color: #111; background: #fff;
  overflow-wrap: anywhere;
  font: 0.85rem/1.35 "Liberation Sans", Arial, ui-sans-serif, sans-serif;
  font-variant-numeric: tabular-nums; }
h1 { font-size: 1.25rem; margin: 0; }
h2 { font-size: 0.95rem; margin: 0.7rem 0 0.2rem; border-bottom: 1px solid #111; }
h3, h4 { font-size: 0.9rem; margin: 0.3rem 0 0; }
.look-up > h2 { margin-top: 1.6rem; border-top: 3px solid #111; }
.look-up > section > h3 { border-bottom: 1px solid #111; margin-top: 0.7rem; }
p { margin: 0.15rem 0; }
ul { margin: 0.1rem 0; padding-left: 1.1rem; overflow-wrap: anywhere; }
header p, footer p { color: #333; }
blockquote { margin: 0.2rem 0; padding: 0.2rem 0.6rem; border-left: 4px solid #111;
  white-space: pre-line; overflow-wrap: anywhere; }
.room { height: 3rem; border: 1px dashed #555; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; font-weight: 400; padding: 0 0.4rem 0 0; border-bottom: 1px solid #ccc;
  vertical-align: top; }
tbody th { min-width: 7.5rem; }
thead th { color: #333; border-bottom-color: #111; }
.charts { display: grid; grid-template-columns: repeat(auto-fit, minmax(15rem, 1fr)); gap: 0.5rem; }
figure { margin: 0; break-inside: avoid; }
svg { display: block; width: 100%; }
svg path { fill: none; stroke: #111; stroke-width: 0.6; }
svg .rule { stroke: #ccc; }
svg .now { stroke-width: 1.4; }
svg .past { stroke: #555; stroke-dasharray: 3 2; }
svg .upright { stroke-dasharray: 5 2 1 2; }
svg .band { fill: #ccd6dd; stroke: none; }
svg circle { fill: #111; }
svg text { font-size: ${TEXT_PT}px; fill: #333; }
.cautions { list-style: none; padding: 0; }
.cautions li { border-left: 4px solid #9c1c1c; padding-left: 0.5rem; margin: 0.15rem 0; }
@media print {
  body { max-width: none; padding: 0; font-size: 8.4pt; line-height: 1.22; }
  h1 { font-size: 13pt; }
  h2 { font-size: 9.5pt; }
  h3, h4 { font-size: 8.6pt; }
  .look-up { break-before: page; font-size: 7.4pt; line-height: 1.18; }
  .look-up > h2 { margin-top: 0; border-top: 0; }
  .look-up h3, .look-up h4 { font-size: 7.6pt; }
  p, ul { margin-block: 0; }
  article, tr, li { break-inside: avoid; }
  h2 { break-after: avoid; margin-top: 0.45rem; }
  .charts { grid-template-columns: 1fr 1fr; }
  .dense, .dense .look-up { font-size: 6.9pt; line-height: 1.14; break-before: auto; }
  .dense h2 { font-size: 8pt; }
  .dense h3, .dense h4 { font-size: 7pt; margin-top: 0.2rem; }
}
`;
