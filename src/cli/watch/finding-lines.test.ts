import { expect, it } from 'vitest';
import type { FindingEntry } from '../../model/study.ts';
import { FindingLines } from './finding-lines.ts';
import type { Line } from './say.ts';

const NOW_S = Date.parse('2026-04-10T12:00:00Z') / 1000;

function lines() {
  const said: Line[] = [];
  const finding = (raised: string, cleared: string | null): FindingEntry => ({
    ...{ id: raised, fault: 'leak-house', probability: 0.87, urgency: 'days', since: raised },
    ...{ raised, cleared, replacedBy: null, evidence: [], instead: [], alike: null, history: [] },
    ...{ nextTest: null, action: '', cautions: [] },
  });
  const all = new FindingLines({ nowS: () => NOW_S }, (line) => said.push(line));
  return { said, finding, all };
}

it('says findings that stand or are just over, with their time', () => {
  const { said, finding, all } = lines();
  all.note('ridge', finding('2026-02-01T08:00:00.000Z', null));
  all.note('ridge', finding('2026-04-09T08:00:00.000Z', '2026-04-10T11:00:00.000Z'));
  all.done('ridge');
  expect(said).toEqual([
    {
      ...{ level: 'told', well: 'ridge' },
      says: 'leak-house: 87 %, days, since 2026-02-01T08:00:00.000Z',
    },
    { level: 'told', well: 'ridge', says: 'leak-house: over at 2026-04-10T11:00:00.000Z' },
  ]);
});

it('says of a long history how many are over and when, in one line a well', () => {
  const { said, finding, all } = lines();
  for (let day = 10; day < 30; day++)
    all.note('ridge', finding('2026-01-01T00:00:00.000Z', `2026-01-${day}T06:00:00.000Z`));
  all.note('barn', finding('2026-01-01T00:00:00.000Z', '2026-01-05T06:00:00.000Z'));
  all.note('ridge', finding('2026-03-01T00:00:00.000Z', null));
  for (const well of ['ridge', 'barn', 'ridge']) all.done(well);
  expect(said.map(({ well, says }) => `${well} ${says}`)).toEqual([
    'ridge leak-house: 87 %, days, since 2026-03-01T00:00:00.000Z',
    'ridge 20 findings of the past, over from 2026-01-10T06:00:00.000Z to 2026-01-29T06:00:00.000Z',
    'barn 1 finding of the past, over at 2026-01-05T06:00:00.000Z',
  ]);
});
