import type { ChainLink, ChainReport, ChannelReport } from '../chain/types.ts';
import { drawing, element, line, text } from './svg.ts';

const BOX = { width: 168, gap: 28, pad: 10, lineHeight: 16 };
const MARGIN = 16;
const HEADING = 26;

/** One row of boxes for each channel, from the pipe or the conductor to the controller. */
export function chainFigureSvg(report: ChainReport): string {
  let y = MARGIN;
  const parts: string[] = [];
  for (const channel of report.channels) {
    const wrong = report.findings.filter((finding) => finding.channel === channel.channel);
    parts.push(...row(channel, y, wrong.length));
    y += rowHeight(channel);
  }
  const most = Math.max(1, ...report.channels.map(({ links }) => links.length));
  const described = report.channels.map(({ channel, links }) => {
    const boxes = links.map(({ name, lines }) => `${name} (${lines.join(', ')})`);
    return `${channel}: ${boxes.join(' to ')}`;
  });
  return drawing({
    width: 2 * MARGIN + most * (BOX.width + BOX.gap) - BOX.gap,
    height: y + MARGIN,
    title: 'Measuring chain',
    description: described.join('. ') || 'no chain is told',
    parts,
  });
}

const boxHeight = ({ links }: ChannelReport): number =>
  2 * BOX.pad + BOX.lineHeight * (1 + Math.max(...links.map(({ lines }) => lines.length)));

const rowHeight = (channel: ChannelReport): number => HEADING + boxHeight(channel) + MARGIN;

function row(channel: ChannelReport, top: number, wrong: number): string[] {
  const height = boxHeight(channel);
  const found = wrong === 0 ? '' : `: ${wrong} ${wrong === 1 ? 'finding' : 'findings'}`;
  const heading = text(
    `${channel.channel}${found}`,
    { x: MARGIN, y: top + 16 },
    {
      'font-weight': 'bold',
      'font-size': 14,
    },
  );
  const y = top + HEADING;
  const boxes = channel.links.flatMap((link, i) => {
    const x = MARGIN + i * (BOX.width + BOX.gap);
    const arrow = i === 0 ? [] : arrowTo({ x, y: y + height / 2 });
    return [...arrow, ...box(link, { x, y, height })];
  });
  return [heading, ...boxes];
}

function box(link: ChainLink, at: { x: number; y: number; height: number }): string[] {
  const { x, y, height } = at;
  const frame = element('rect', {
    x,
    y,
    width: BOX.width,
    height,
    rx: 4,
    fill: 'none',
    stroke: 'currentColor',
  });
  const place = (i: number) => ({ x: x + BOX.pad, y: y + BOX.pad + 12 + i * BOX.lineHeight });
  const name = text(link.name, place(0), { 'font-weight': 'bold' });
  return [frame, name, ...link.lines.map((words, i) => text(words, place(i + 1)))];
}

function arrowTo({ x, y }: { x: number; y: number }): string[] {
  const shaft = line({ x: x - BOX.gap, y }, { x, y });
  const head = `M ${x - 7} ${y - 4} L ${x} ${y} L ${x - 7} ${y + 4}`;
  return [shaft, element('path', { d: head, fill: 'none', stroke: 'currentColor' })];
}
