const DAY_S = 86_400;

/** A log and the well file beside it, as texts. */
export interface Year {
  log: string;
  wellFile: string;
}

/**
 * Both moved by whole days, so that hours of the day stay what they were, to end at an instant; of
 * the last day what would lie beyond it is left out. Rows are by time.
 */
export function movedToEnd({ log, wellFile }: Year, endS: number): Year {
  const rows = log.trimEnd().split('\n');
  const days = Math.ceil((endS - Number.parseFloat(rows.at(-1) ?? '')) / DAY_S);
  const moved = [rows[0]];
  for (const row of rows.slice(1)) {
    const wholeS = Number.parseInt(row, 10);
    const atS = wholeS + days * DAY_S;
    if (atS >= endS) break;
    // Parts of a second stay as they are written.
    moved.push(atS + row.slice(String(wholeS).length));
  }
  return { log: `${moved.join('\n')}\n`, wellFile: movedDates(wellFile, days) };
}

/** The instants of a text moved by whole days. */
export const movedDates = (text: string, days: number): string =>
  text.replaceAll(/\d{4}-\d\d-\d\dT[\d:.]+Z/g, (date) =>
    new Date(Date.parse(date) + days * DAY_S * 1000).toISOString(),
  );
