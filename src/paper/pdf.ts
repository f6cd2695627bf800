import { fileURLToPath } from 'node:url';
import PDFDocument from 'pdfkit';
import { chartMarks, type Mark, TEXT_PT } from '../report/contractor/chart-lines.ts';
import type { Block, Chart, Part, Sheet } from '../report/contractor/sheet.ts';

type Doc = InstanceType<typeof PDFDocument>;

interface Pen {
  doc: Doc;
  size: typeof READ;
}

const MARGIN_PT = 32;
const CHART_PT = { height: 90, gap: 12 };
/** What is read is larger than what is looked up. */
const READ = { title: 14, part: 10.5, text: 8.6 };
const LOOKED_UP = { title: 12, part: 8.6, text: 7.4 };
const DENSE = { title: 12, part: 8.2, text: 6.9 };
const INDENT_PT = 9;
const GAP_PT = 2;

const PLAIN = import.meta.resolve('dejavu-fonts-ttf/ttf/DejaVuSansCondensed.ttf');
const BOLD = import.meta.resolve('dejavu-fonts-ttf/ttf/DejaVuSansCondensed-Bold.ttf');

/** The sheet as PDF: the same content as its HTML, with a font that has the letters of Europe. */
export async function sheetPdf(sheet: Sheet): Promise<Buffer> {
  const doc = new PDFDocument({
    size: sheet.paper === 'letter' ? 'LETTER' : 'A4',
    margin: MARGIN_PT,
    info: { Title: sheet.title },
    lang: 'en',
    displayTitle: true,
    font: fileURLToPath(PLAIN),
  });
  const pieces: Buffer[] = [];
  const whole = new Promise<Buffer>((resolve, reject) => {
    doc.on('data', (piece: Buffer) => pieces.push(piece));
    doc.on('end', () => resolve(Buffer.concat(pieces)));
    doc.on('error', reject);
  });
  doc.registerFont('plain', fileURLToPath(PLAIN));
  doc.registerFont('bold', fileURLToPath(BOLD));
  const read: Pen = { doc, size: sheet.isDense ? DENSE : READ };
  doc.font('bold').fontSize(read.size.title).text(sheet.title);
  for (const says of sheet.under) text(read, says);
  drawParts(read, sheet.parts);
  if (!sheet.isDense) doc.addPage();
  const lookUp: Pen = { doc, size: sheet.isDense ? DENSE : LOOKED_UP };
  doc.font('bold').fontSize(lookUp.size.title).text(sheet.lookUpTitle, MARGIN_PT, doc.y);
  drawParts(lookUp, sheet.lookUp);
  doc.moveDown(0.5);
  text(lookUp, sheet.foot);
  doc.end();
  return whole;
}

function drawParts(pen: Pen, parts: readonly Part[]): void {
  for (const { title, blocks } of parts) {
    heading(pen, title);
    for (const block of blocks) draw(pen, block);
  }
}

const widthOf = ({ page }: Doc): number => page.width - 2 * MARGIN_PT;
const bottomOf = ({ page }: Doc): number => page.height - MARGIN_PT;

/** A new page where so much does not fit below. */
function room(doc: Doc, heightPt: number): void {
  if (doc.y + heightPt > bottomOf(doc)) doc.addPage();
}

function text(pen: Pen, says: string, indentPt = 0): void {
  const { doc, size } = pen;
  doc.font('plain').fontSize(size.text);
  const width = widthOf(doc) - indentPt;
  room(doc, Math.min(doc.heightOfString(says, { width }), 60));
  doc.text(says, MARGIN_PT + indentPt, doc.y, { width });
}

function heading(pen: Pen, title: string): void {
  const { doc, size } = pen;
  room(doc, 40);
  doc.y += 5;
  doc.font('bold').fontSize(size.part).text(title, MARGIN_PT, doc.y);
  rule(doc, doc.y);
  doc.y += GAP_PT;
}

function rule(doc: Doc, y: number, color = '#111'): void {
  const right = MARGIN_PT + widthOf(doc);
  doc.moveTo(MARGIN_PT, y).lineTo(right, y).lineWidth(0.5).stroke(color);
}

function draw(pen: Pen, block: Block): void {
  const { doc, size } = pen;
  if (block.kind === 'text') text(pen, block.says);
  else if (block.kind === 'quoted') quoted(pen, block.says);
  else if (block.kind === 'list') for (const one of block.items) listed(pen, one);
  else if (block.kind === 'cautions') for (const one of block.items) caution(pen, one);
  else if (block.kind === 'table') table(pen, block.heads, block.rows);
  else if (block.kind === 'charts') charts(pen, block.charts, block.note);
  else {
    room(doc, 40);
    doc.font('bold').fontSize(size.text).text(block.title, MARGIN_PT, doc.y);
    for (const one of block.says) listed(pen, one);
  }
}

function quoted(pen: Pen, says: string | null): void {
  const { doc } = pen;
  room(doc, 36);
  if (says === null) {
    doc
      .rect(MARGIN_PT, doc.y, widthOf(doc), 34)
      .dash(2, { space: 2 })
      .lineWidth(0.5)
      .stroke('#555');
    doc.undash();
    doc.y += 36;
  } else beside(pen, says, '#111');
}

const caution = (pen: Pen, says: string): void => beside(pen, says, '#9c1c1c');

/** Words with a bar at their left, on one page. */
function beside(pen: Pen, says: string, color: string): void {
  const { doc, size } = pen;
  doc.font('plain').fontSize(size.text);
  const height = doc.heightOfString(says, { width: widthOf(doc) - INDENT_PT });
  room(doc, height);
  const from = doc.y;
  text(pen, says, INDENT_PT);
  doc.rect(MARGIN_PT, from, 2.5, height).fill(color);
  doc.fillColor('#111');
  doc.y += GAP_PT;
}

function listed(pen: Pen, says: string): void {
  const { doc, size } = pen;
  doc.font('plain').fontSize(size.text);
  room(doc, doc.heightOfString(says, { width: widthOf(doc) - INDENT_PT }));
  const from = doc.y;
  doc.text('•', MARGIN_PT + 2, from, { lineBreak: false });
  doc.y = from;
  text(pen, says, INDENT_PT);
}

/** Names take two parts of the width, the rest is shared. */
function table(pen: Pen, heads: readonly string[], rows: readonly string[][]): void {
  const { doc, size } = pen;
  const width = widthOf(doc);
  const first = width * 0.36;
  const cell = (width - first) / Math.max(1, heads.length - 1);
  const row = (cells: readonly string[], color: string) => {
    doc.font('plain').fontSize(size.text);
    const widths = cells.map((_, i) => (i === 0 ? first : cell) - 4);
    const heights = cells.map((says, i) => doc.heightOfString(says, { width: widths[i]! }));
    const height = Math.max(...heights);
    room(doc, height + 2);
    const from = doc.y;
    cells.forEach((says, i) => {
      const x = MARGIN_PT + (i === 0 ? 0 : first + (i - 1) * cell);
      doc.text(says, x, from, { width: widths[i]! });
    });
    doc.y = from + height;
    rule(doc, doc.y, color);
    doc.y += 1;
  };
  row(heads, '#111');
  for (const cells of rows) row(cells, '#ccc');
  doc.x = MARGIN_PT;
  doc.y += GAP_PT;
}

/** Two beside each other. */
function charts(pen: Pen, all: readonly Chart[], note: string): void {
  const { doc, size } = pen;
  const { height, gap } = CHART_PT;
  const width = (widthOf(doc) - gap) / 2;
  const lines = Math.ceil(all.length / 2);
  room(doc, lines * (height + 12) + 12);
  const from = doc.y;
  all.forEach((chart, i) => {
    const x = MARGIN_PT + (i % 2) * (width + gap);
    const y = from + Math.floor(i / 2) * (height + 12);
    doc.font('plain').fontSize(size.text).text(chart.title, x, y, { width });
    doc.save();
    doc.translate(x, y + 11);
    for (const mark of chartMarks(chart, width, height)) stroke(doc, mark);
    doc.restore();
  });
  doc.y = from + lines * (height + 12) + 2;
  doc.x = MARGIN_PT;
  text(pen, note);
}

const STYLES = {
  now: { width: 1.2, color: '#111', dash: null },
  past: { width: 0.6, color: '#555', dash: 2 },
  rule: { width: 0.4, color: '#ccc', dash: null },
  frame: { width: 0.6, color: '#111', dash: null },
  upright: { width: 0.6, color: '#111', dash: 3 },
} as const;

function stroke(doc: Doc, mark: Mark): void {
  if (mark.kind === 'text') {
    doc.font('plain').fontSize(TEXT_PT).fillColor('#333');
    const wide = doc.widthOfString(mark.says);
    const shift = { start: 0, middle: wide / 2, end: wide }[mark.anchor];
    doc.text(mark.says, mark.x - shift, mark.y - TEXT_PT, { lineBreak: false });
    doc.fillColor('#111');
  } else if (mark.kind === 'dot') doc.circle(mark.x, mark.y, 1.2).fill('#111');
  else {
    for (const [i, [x, y]] of mark.points.entries())
      if (i === 0) doc.moveTo(x, y);
      else doc.lineTo(x, y);
    if (mark.kind === 'area') doc.closePath().fill('#ccd6dd');
    else {
      const { width, color, dash } = STYLES[mark.style];
      if (dash !== null) doc.dash(dash, { space: 2 });
      doc.lineWidth(width).stroke(color);
      doc.undash();
    }
  }
}
