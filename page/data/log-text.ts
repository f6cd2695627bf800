import type { Channel } from '../../src/model/reading.ts';

export interface Reading {
  timeS: number;
  value: number;
}

/** Readings by channel of a log as the service writes it: `time,pressure [Pa],…`, Unix seconds. */
export function readingsOfLog(text: string): Map<Channel, Reading[]> {
  const [head = '', ...rows] = text.split('\n');
  const names = head.split(',').map((cell) => cell.replace(/ \[.*$/, '') as Channel);
  const found = new Map<Channel, Reading[]>(names.slice(1).map((name) => [name, []]));
  for (const row of rows) {
    const cells = row.split(',');
    const timeS = Number(cells[0]);
    for (let i = 1; i < cells.length; i++)
      if (cells[i] !== '') found.get(names[i]!)?.push({ timeS, value: Number(cells[i]) });
  }
  return found;
}
