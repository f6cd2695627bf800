import type { BookEntry, BookPhoto } from '../model/book.ts';
import { OWNER_TESTS } from '../model/owner-tests.ts';
import type { TestEntry, TestName } from '../model/study.ts';
import type { ServiceRecord, Well } from '../model/well.ts';
import { BOOK_WORDS } from './book-words.ts';
import { equipmentRows } from './equipment-rows.ts';
import { type Figures, full } from './figures.ts';
import { unixS } from './moments.ts';
import { testSentences } from './tests-done.ts';

export type BlockKind = 'service' | 'test' | 'calibration' | 'note' | 'water-sample' | 'file';

/** One line of the book, as a driller keeps his. */
export interface BookRow {
  id: string;
  /** When it was, Unix s. */
  onS: number;
  kind: BlockKind;
  title: string;
  /** What else is to be said of it. */
  says: string[];
  /** Who wrote it; null where nobody is known. */
  by: string | null;
  photos: BookPhoto[];
}

interface BookOf {
  well: Well;
  /** The journal. */
  entries: readonly BookEntry[];
  /** What the tests of the file came to. */
  tests: readonly TestEntry[];
  figures: Figures;
}

/** All that the well file and the journal have, by the time that it was. */
export function bookRows(of: BookOf): BookRow[] {
  const rows = [...services(of), ...calibrations(of), ...tests(of), ...notes(of)];
  return rows.sort((a, b) => a.onS - b.onS);
}

/** What the keeper typed as to who wrote a block that the journal knows. */
function writer(entries: readonly BookEntry[], key: 'on' | 'from' | 'start', onS: number) {
  for (const { act } of entries) {
    if (act.what !== 'added' || act.failed !== undefined) continue;
    const at = act.values[key];
    if (typeof at === 'string' && unixS(at) === onS) return act.by;
  }
  return null;
}

const plain = { says: [], photos: [] };

function services({ well, entries, figures }: BookOf): BookRow[] {
  return well.services.map((service, i) => ({
    ...plain,
    id: `service-${i}`,
    onS: service.onS,
    kind: 'service',
    title: service.did || BOOK_WORDS.noDid,
    says: serviceSays(service, figures),
    by: writer(entries, 'on', service.onS),
  }));
}

function serviceSays({ resets, now }: ServiceRecord, { system }: Figures): string[] {
  const parts = resets.map((reset) => BOOK_WORDS.resets[reset]).join(', ');
  const holds = equipmentRows(now, system).map(({ name, value }) => `${name} ${value}`);
  return [
    ...(parts === '' ? [] : [BOOK_WORDS.ends(parts)]),
    ...(holds.length === 0 ? [] : [BOOK_WORDS.now(holds.join(', '))]),
  ];
}

const calibrations = ({ well, entries }: BookOf): BookRow[] =>
  well.calibrations.map(({ channel, sensor, fromS, points }, i) => ({
    ...plain,
    id: `calibration-${i}`,
    onS: fromS,
    kind: 'calibration',
    title: BOOK_WORDS.calibration(channel, sensor, points.length),
    by: writer(entries, 'from', fromS),
  }));

function tests({ well, entries, tests: done, figures }: BookOf): BookRow[] {
  const row = (name: TestName, startS: number, says: string[]): BookRow => ({
    ...plain,
    id: `${name}-${startS}`,
    onS: startS,
    kind: 'test',
    title: OWNER_TESTS[name].name,
    says,
    by: writer(entries, 'start', startS),
  });
  const buckets = well.bucketTests.map(({ startS, volumeM3, volumeM3Std }) => {
    const drawn = full({ value: volumeM3, std: volumeM3Std }, 'volume', figures);
    return row('bucket', startS, [BOOK_WORDS.drawn(drawn)]);
  });
  const others = well.otherTests.map(({ kind, startS }) => {
    const name = kind.replace('_test', '') as TestName;
    const found = done.find(({ test, start }) => test === name && unixS(start) === startS);
    return row(name, startS, found === undefined ? [] : testSentences(found, figures));
  });
  return [...buckets, ...others];
}

function notes({ entries }: BookOf): BookRow[] {
  return entries.flatMap(({ id, at, act }): BookRow[] => {
    if (act.what === 'added') return [];
    if (act.what === 'noted') {
      const { by, about, says, photos } = act;
      const kind = about === 'other' ? 'note' : about;
      return [{ id, onS: unixS(act.on), kind, title: says, says: [], by, photos }];
    }
    const title = act.by === null ? BOOK_WORDS.byAnotherHand : BOOK_WORDS.fileEdited;
    const says = act.failed === undefined ? [] : [BOOK_WORDS.failed(act.failed)];
    return [{ ...plain, id, onS: unixS(at), kind: 'file', title, says, by: act.by }];
  });
}
