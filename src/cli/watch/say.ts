/** A line of the log: `trouble` is worth a look. */
export interface Line {
  level: 'told' | 'trouble';
  says: string;
  well?: string;
}

export type Say = (line: Line) => void;

/** Lines beyond so many in ten seconds are counted and not written. */
const MOST = 50;
const WITHIN_MS = 10_000;

/**
 * Writes the log: plain sentences to a terminal, else one JSON object a line, its time in `at`.
 * What others cause may come in floods, and must not fill a disk.
 */
export function logTo(stream: { isTTY?: boolean; write(text: string): unknown }): Say {
  let [sinceMs, count, left] = [-Infinity, 0, 0];
  const write = ({ level, says, well }: Line) => {
    const at = new Date().toISOString();
    const plain = `${at.slice(11, 19)}Z ${well === undefined ? '' : `${well}: `}${says}`;
    stream.write(`${stream.isTTY ? plain : JSON.stringify({ at, level, well, says })}\n`);
  };
  return (line) => {
    const nowMs = performance.now();
    if (nowMs - sinceMs > WITHIN_MS) {
      if (left > 0) write({ level: 'told', says: `${left} further lines were not written` });
      [sinceMs, count, left] = [nowMs, 0, 0];
    }
    if (count < MOST) {
      count += 1;
      write(line);
    } else left += 1;
  };
}
