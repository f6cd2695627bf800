import type { ChainFinding, ChainLink, ChainReport } from '../chain/types.ts';
import { drawing, element, line, text } from './svg.ts';

const BOX = { width: 170, gap: 20, pad: 10, lineHeight: 16 };
const MARGIN = 8;
const HEADING = 22;
/** Two boxes beside each other: what a telephone shows without shrinking it. */
const NARROW_PX = 2 * MARGIN + 2 * BOX.width + BOX.gap;

/** A heading with what is wrong below it, then the boxes. */
interface Part {
  heading: string;
  links: readonly ChainLink[];
  findings: readonly ChainFinding[];
}

/**
 * The boxes of each channel from the pipe or the conductor to the controller, in rows that fit
 * `widthPx`, under what was found wrong with it; last what was found with no channel alone.
 */
export function chainFigureSvg(report: ChainReport, widthPx = NARROW_PX): string {
  const of = (channel: ChainFinding['channel']) =>
    report.findings.filter((finding) => finding.channel === channel);
  const channels = report.channels.map(({ channel, links }) => {
    return { heading: channel, links, findings: of(channel) };
  });
  const both = { heading: 'both channels', links: [], findings: of(null) };
  const shown: Part[] = both.findings.length > 0 ? [...channels, both] : channels;
  const inner = Math.max(widthPx, NARROW_PX) - 2 * MARGIN;
  const across = Math.floor((inner + BOX.gap) / (BOX.width + BOX.gap));
  let y = MARGIN;
  const parts = shown.flatMap((part) => {
    const drawn = drawPart(part, y, across);
    y += drawn.height;
    return drawn.parts;
  });
  return drawing({
    width: 2 * MARGIN + across * (BOX.width + BOX.gap) - BOX.gap,
    height: y + (parts.length === 0 ? MARGIN : 0),
    title: 'Measuring chain',
    description: shown.map(inWords).join('. ') || 'no chain is told',
    parts,
  });
}

function inWords({ heading, links, findings }: Part): string {
  const boxes = links.map(({ name, lines }) => `${name} (${lines.join(', ')})`);
  return [`${heading}: ${boxes.join(' to ')}`.trim(), ...wordsOf(findings)].join('; ');
}

/** What is wrong, each of its kind once. */
const wordsOf = (findings: readonly ChainFinding[]): string[] => [
  ...new Set(findings.map(({ does, id }) => `${does}: ${id.replaceAll('-', ' ')}`)),
];

function drawPart({ heading, links, findings }: Part, top: number, across: number) {
  const title = text(heading, { x: MARGIN, y: top + 14 }, { 'font-weight': 'bold' });
  const found = wordsOf(findings).map((words, i) =>
    text(`▲ ${words}`, { x: MARGIN, y: top + 14 + (i + 1) * BOX.lineHeight }),
  );
  const parts = [title, ...found];
  let y = top + HEADING + found.length * BOX.lineHeight;
  for (let first = 0; first < links.length; first += across) {
    const row = links.slice(first, first + across);
    const height = 2 * BOX.pad + BOX.lineHeight * (1 + most(row.map(({ lines }) => lines.length)));
    if (first > 0) parts.push(...arrowDown(y - BOX.gap, { across, y }));
    for (const [i, link] of row.entries()) {
      const x = MARGIN + i * (BOX.width + BOX.gap);
      if (i > 0) parts.push(...arrowTo({ x, y: y + height / 2 }));
      parts.push(...box(link, { x, y, height }));
    }
    y += height + BOX.gap;
  }
  return { parts, height: y - top };
}

const most = (counts: readonly number[]): number => Math.max(0, ...counts);

function box(link: ChainLink, at: { x: number; y: number; height: number }): string[] {
  const { x, y, height } = at;
  const frame = { x, y, width: BOX.width, height, rx: 4, fill: 'none', stroke: 'currentColor' };
  const place = (i: number) => ({ x: x + BOX.pad, y: y + BOX.pad + 12 + i * BOX.lineHeight });
  const name = text(link.name, place(0), { 'font-weight': 'bold' });
  return [element('rect', frame), name, ...link.lines.map((words, i) => text(words, place(i + 1)))];
}

function arrowTo({ x, y }: { x: number; y: number }): string[] {
  const shaft = line({ x: x - BOX.gap, y }, { x, y });
  return [shaft, head(`M ${x - 7} ${y - 4} L ${x} ${y} L ${x - 7} ${y + 4}`)];
}

/** From the last box of a row round to the first of the next. */
function arrowDown(above: number, { across, y }: { across: number; y: number }): string[] {
  const from = MARGIN + (across - 1) * (BOX.width + BOX.gap) + BOX.width / 2;
  const to = MARGIN + BOX.width / 2;
  const middle = above + BOX.gap / 2;
  const path = `M ${from} ${above} V ${middle} H ${to} V ${y}`;
  return [head(path), head(`M ${to - 4} ${y - 7} L ${to} ${y} L ${to + 4} ${y - 7}`)];
}

const head = (d: string): string => element('path', { d, fill: 'none', stroke: 'currentColor' });
