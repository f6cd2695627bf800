import { expect, it } from 'vitest';
import { studyOf, wellOf } from '../../test/study-fixture.ts';
import type { BookEntry } from '../model/book.ts';
import { parseWellFile } from '../wellfile/parse.ts';
import { bookRows } from './book-rows.ts';
import { figuresOf } from './figures.ts';

const TOML = `name = "Alder barn"
time_zone = "America/Denver"
[[service]]
on = 2026-05-02T09:00:00Z
did = "new pressure tank"
resets = ["tank", "plumbing"]
[service.now]
tank.volume = { value = "44 gal", source = "measured", uncertainty = "1 gal" }
[[bucket_test]]
start = 2026-04-08T20:30:00Z
stop = 2026-04-08T20:33:12Z
volume = "8.00 gal"
[[precharge_test]]
start = 2026-04-07T20:30:00Z
pressure = "38 psi"
[[calibration]]
channel = "pressure"
sensor = "tee-1"
from = 2026-04-01
raw = "V"
points = [["0.5 V", "0 psi"], ["2.5 V", "50 psi"]]
`;
const entry = (at: string, act: BookEntry['act']): BookEntry => ({
  ...{ id: `note-${at}`, kind: 'note', at, act },
});
const ENTRIES = [
  entry('2026-05-02T12:00:00Z', {
    ...{ what: 'added', by: 'Keeper', table: 'service', from: 'a', to: 'b' },
    values: { on: '2026-05-02T09:00:00Z', did: 'new pressure tank' },
  }),
  entry('2026-05-03T12:00:00Z', {
    ...{ what: 'noted', by: 'Neighbour', on: '2026-04-30T08:00:00Z', about: 'other' },
    ...{ says: 'Muddy.', photos: [] },
  }),
  entry('2026-05-04T12:00:00Z', { what: 'edited', by: null, from: 'b', to: 'c' }),
];

it('is one list by the time that things were, each with who wrote it where that is known', () => {
  const read = parseWellFile(TOML);
  if (!read.ok) throw new Error(JSON.stringify(read.issues));
  const figures = figuresOf(studyOf({}), wellOf());
  const rows = bookRows({ well: read.well, entries: ENTRIES, tests: [], figures });
  expect(rows.map(({ kind, title, by }) => [kind, title, by])).toEqual([
    ['calibration', 'pressure (tee-1), 2 points', null],
    ['test', 'precharge test', null],
    ['test', 'bucket test', null],
    ['note', 'Muddy.', 'Neighbour'],
    ['service', 'new pressure tank', 'Keeper'],
    ['file', 'The well file was edited outside this program.', null],
  ]);
  expect(rows[4]?.says).toEqual([
    'What was learnt of tank, plumbing ends here and is learnt anew.',
    'From now on: tank 44 ± 2 gal.',
  ]);
});
