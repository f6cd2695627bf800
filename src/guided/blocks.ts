import type { Well } from '../model/well.ts';
import { withDigits } from '../units/digits.ts';
import { displayUnit, type UnitSystem } from '../units/format.ts';
import { type BlockTable, type WellFileBlock, withBlock } from '../wellfile/add-block.ts';
import { formatIssue } from '../wellfile/issue.ts';
import { parseWellFile } from '../wellfile/parse.ts';
import { GuideRefusal, type Session } from './session.ts';

/** Blocks of the well file that hold a test, in the order they are written. */
export function testBlocks(session: Session, units: UnitSystem): WellFileBlock[] {
  const { test, marks, typed } = session;
  const table: BlockTable = test === 'sounding' ? test : `${test}_test`;
  const between = (from: string, to: string) => ({
    start: utc(marks[from]!),
    stop: utc(marks[to]!),
  });
  switch (test) {
    case 'isolation':
      return ['shut', 'open'].map((valve) => ({
        table,
        values: { ...between(`${valve}-start`, `${valve}-stop`), house_valve: valve },
      }));
    case 'throttle':
      return [{ table, values: { ...between('start', 'stop'), points: pointsOf(session, units) } }];
    case 'sounding':
      return [{ table, values: { start: utc(marks.start!), ...typed } }];
    default:
      return [{ table, values: { ...between('start', 'stop'), ...typed } }];
  }
}

const pointsOf = ({ points }: Session, units: UnitSystem): [string, string][] => {
  const { unit, scale } = displayUnit('pressure', units);
  return points.map(({ pressurePaGauge, flow }) => [
    `${withDigits(pressurePaGauge / scale, 4)} ${unit}`,
    flow,
  ]);
};

/** To the second: finer than the two minutes that are wanted of a watch. */
export const utc = (timeS: number): string =>
  new Date(Math.round(timeS) * 1000).toISOString().replace('.000Z', 'Z');

/** The well as its file would say it with these blocks; a refusal with all that is wrong. */
export function wellWith(text: string, blocks: readonly WellFileBlock[]): Well {
  const read = parseWellFile(blocks.reduce(withBlock, text));
  if (read.ok) return read.well;
  throw new GuideRefusal(read.issues.map((issue) => formatIssue(issue, 'well file')).join('\n'));
}
