type Attributes = Record<string, string | number>;

const ESCAPES: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };

/** Text as it may stand between tags and in attributes; control characters are left out. */
export const escaped = (text: string): string =>
  text.replaceAll(/\p{Cc}/gu, ' ').replaceAll(/[&<>"]/g, (mark) => ESCAPES[mark]!);

/** Coordinates need no more than a tenth of a pixel. */
const shown = (value: string | number): string =>
  typeof value === 'number' ? String(Math.round(value * 10) / 10) : escaped(value);

/** An element; `inside` is markup already. */
export function element(name: string, attributes: Attributes, inside = ''): string {
  const list = Object.entries(attributes).map(([key, value]) => ` ${key}="${shown(value)}"`);
  return inside === ''
    ? `<${name}${list.join('')}/>`
    : `<${name}${list.join('')}>${inside}</${name}>`;
}

export const text = (words: string, at: { x: number; y: number }, more: Attributes = {}): string =>
  element('text', { ...at, 'font-size': 12, fill: 'currentColor', ...more }, escaped(words));

export const line = (
  from: { x: number; y: number },
  to: { x: number; y: number },
  more: Attributes = {},
): string =>
  element('line', {
    x1: from.x,
    y1: from.y,
    x2: to.x,
    y2: to.y,
    stroke: 'currentColor',
    ...more,
  });

/** A whole drawing in the colour of the text around it, with words for those who cannot see it. */
export function drawing(options: {
  width: number;
  height: number;
  title: string;
  description: string;
  parts: readonly string[];
}): string {
  const { width, height, title, description, parts } = options;
  const words = `<title>${escaped(title)}</title><desc>${escaped(description)}</desc>`;
  return element(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      viewBox: `0 0 ${width} ${height}`,
      width,
      height,
      role: 'img',
      'font-family': 'sans-serif',
      style: 'max-width:100%;height:auto',
    },
    words + parts.join(''),
  );
}
