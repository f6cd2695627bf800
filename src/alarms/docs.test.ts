import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { ALARM_STATES } from '../model/alarm.ts';
import type { Urgency } from '../model/study.ts';
import { ruleOf } from './rules.ts';

const page = readFileSync(new URL('../../docs/alarms.md', import.meta.url), 'utf8');

/** Rows of a table under a heading, cells without their back-ticks. */
function rowsUnder(heading: string): string[][] {
  const section = page.split(/^(?=## )/m).find((part) => part.startsWith(`${heading}\n`)) ?? '';
  return [...section.matchAll(/^\| *`.*\|$/gm)].map(([row]) =>
    row
      .split('|')
      .slice(1, -1)
      .map((cell) => cell.trim().replaceAll('`', '')),
  );
}

it('docs/alarms.md prints the delays and the deadband as they are', () => {
  const urgencies: Urgency[] = ['now', 'today', 'days', 'weeks'];
  const held = urgencies.map((urgency) => {
    const { onDelayS, offDelayS, onAt, offBelow } = ruleOf(urgency)!;
    return [urgency, `${onDelayS} s`, `${offDelayS} s`, `${onAt}`, `${offBelow}`];
  });
  expect(rowsUnder('## What becomes an alarm')).toEqual(held);
});

it('docs/alarms.md prints the states', () => {
  expect(rowsUnder('## States').map(([state]) => state)).toEqual(ALARM_STATES);
});
