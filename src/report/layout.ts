/** Width of the text in columns: what a terminal shows without wrapping. */
export const TEXT_WIDTH = 96;

/** Stands between a figure and its unit, which no line break may part; printed as a space. */
const TIE = '\u00a0';

export const tied = (text: string): string => text.replaceAll(' ', TIE);

/** Breaks words into lines of at most `width` columns; a longer word stands alone. */
function wrapped(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(/[ \n]+/).filter(Boolean)) {
    if (line !== '' && line.length + 1 + word.length > width) {
      lines.push(line);
      line = word;
    } else line = line === '' ? word : `${line} ${word}`;
  }
  if (line !== '' || lines.length === 0) lines.push(line);
  return lines.map((text) => text.replaceAll(TIE, ' '));
}

/** A paragraph behind a label that stands once, the text hanging beside it. */
export function hanging(label: string, text: string, options: { indent: number; hang: number }) {
  const { indent, hang } = options;
  return wrapped(text, TEXT_WIDTH - indent - hang).map((line, i) =>
    `${' '.repeat(indent)}${(i === 0 ? label : '').padEnd(hang)}${line}`.trimEnd(),
  );
}

/** A plain paragraph. */
export const paragraph = (text: string, indent = 2): string[] =>
  hanging('', text, { indent, hang: 0 });

export interface Column {
  head: string;
  /** Stands under the head: the unit of the column. */
  unit: string;
  cells: string[];
  /** Words start at the left, figures end at the right. */
  align: 'left' | 'right';
}

/** A column of figures, with the unit under its head. */
export const figureColumn = (head: string, unit: string, cells: string[]): Column => ({
  head,
  unit,
  cells,
  align: 'right',
});

/** A column of words. */
export const wordColumn = (head: string, cells: string[]): Column => ({
  head,
  unit: '',
  cells,
  align: 'left',
});

/** Lines of a table: heads, units, a rule, then the rows. A long last column of words wraps. */
export function table(columns: Column[]): string[] {
  const wraps = columns.at(-1)?.align === 'left';
  const tight = columns.map((c) => ({ ...c, cells: c.cells.map((s) => s.replace(' ± ', '±')) }));
  if (wraps || widthOf(columns, 2) <= TEXT_WIDTH) return laid(columns, 2);
  return laid(tight, widthOf(tight, 2) <= TEXT_WIDTH ? 2 : 1);
}

const widthsOf = (columns: Column[]): number[] =>
  columns.map((c) => Math.max(c.head.length, c.unit.length, ...c.cells.map((s) => s.length)));

/** Width of a table with its indent of two. */
const widthOf = (columns: Column[], gap: number): number =>
  widthsOf(columns).reduce((sum, width) => sum + width, 2 + gap * (columns.length - 1));

/** The lines of a table with so many spaces between its columns. */
function laid(columns: Column[], gap: number): string[] {
  const widths = widthsOf(columns);
  const last = columns.length - 1;
  const wraps = columns[last]?.align === 'left' && widthOf(columns, gap) > TEXT_WIDTH;
  if (wraps) widths[last] = (widths[last] ?? 0) - (widthOf(columns, gap) - TEXT_WIDTH);
  const put = (cells: string[]) => {
    const texts = cells.map((cell, i) => {
      const width = widths[i] ?? 0;
      return columns[i]?.align === 'left' ? cell.padEnd(width) : cell.padStart(width);
    });
    return `  ${texts.join(' '.repeat(gap))}`.trimEnd();
  };
  const rows = (columns[0]?.cells ?? []).map((_, r) => {
    const cells = columns.map((c) => c.cells[r] ?? '');
    const words = wraps ? wrapped(cells[last] ?? '', widths[last] ?? 0) : cells.slice(last);
    return words.map((text, i) => put([...cells.slice(0, last).map((c) => (i ? '' : c)), text]));
  });
  const rule = widths.map((width) => '-'.repeat(width));
  return [
    put(columns.map((c) => c.head)),
    put(columns.map((c) => c.unit)),
    put(rule),
    ...rows.flat(),
  ];
}

/** A section: its title underlined, its lines, an empty line after. */
export const section = (title: string, lines: string[]): string[] =>
  lines.length === 0 ? [] : [title, '='.repeat(title.length), ...lines, ''];
