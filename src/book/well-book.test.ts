import { beforeEach, expect, it } from 'vitest';
import { type RecordKind, StoreRefuses } from '../ports/reading-store.ts';
import { TextChanged, TextRefuses, type WellText } from '../ports/well-text.ts';
import { MemoryStore } from '../store/memory/store.ts';
import { BookRefusal } from './refusal.ts';
import { WellBook } from './well-book.ts';

const TOML = 'name = "Mill"\n';
const BLOCK = { table: 'service', values: { on: '2026-05-02', did: 'new tank' } } as const;

/** A store that can be full. */
class FullStore extends MemoryStore {
  full = false;
  override async putRecords(
    ...[wellId, kind, fromS, records]: Parameters<MemoryStore['putRecords']>
  ): Promise<void> {
    if (this.full) throw new StoreRefuses('disk-full', kind satisfies RecordKind);
    await super.putRecords(wellId, kind, fromS, records);
  }
}

let text = TOML;
/** What the disk does to the next write. */
let onWrite: () => void;
const file: WellText = {
  name: 'mill.toml',
  // Enough to tell texts apart here; the file on the disk has a test of its own.
  hashOf: (one) => `hash of ${one}`,
  read: async () => ({ text, hash: file.hashOf(text) }),
  async write(next, basedOn) {
    onWrite();
    if (basedOn !== file.hashOf(text)) throw new TextChanged(file.hashOf(text));
    text = next;
    return { text, hash: file.hashOf(text) };
  },
};

let store: FullStore;
let nowS: number;
let puts: string[];
let told: number;
let troubles: unknown[];
let book: WellBook;
beforeEach(async () => {
  text = TOML;
  onWrite = () => undefined;
  store = new FullStore();
  nowS = 1_780_000_000;
  puts = [];
  told = 0;
  troubles = [];
  book = await WellBook.open('mill', {
    ...{ store, clock: { nowS: () => nowS }, text: file },
    put: ({ name }) => puts.push(name),
    tell: () => {
      told += 1;
    },
    trouble: (error) => troubles.push(error),
  });
});

it('changes nothing that the store cannot keep', async () => {
  store.full = true;
  await expect(book.add(BLOCK, 'Keeper')).rejects.toBeInstanceOf(StoreRefuses);
  await expect(book.note({ by: 'Keeper', about: 'other', says: 'x' }, [])).rejects.toBeInstanceOf(
    StoreRefuses,
  );
  expect([text, puts, told]).toEqual([TOML, [], 0]);
  store.full = false;
  await book.add(BLOCK, 'Keeper');
  expect([puts, told]).toEqual([['Mill'], 1]);
});

it('says in the journal where a change did not come about', async () => {
  onWrite = () => {
    throw new TextRefuses('expected to write it, found a read-only disk');
  };
  const refused = book.add(BLOCK, 'Keeper');
  await expect(refused).rejects.toMatchObject({ code: 'file-refuses' });
  expect(text).toBe(TOML);
  const [entry, ...more] = await book.entries();
  expect(more).toEqual([]);
  expect(entry?.act).toMatchObject({ what: 'added', failed: expect.stringContaining('read-only') });
  expect([puts, told]).toEqual([[], 0]);
});

it('loses no edit that came between reading and writing', async () => {
  onWrite = () => {
    text = `${TOML}# by hand\n`;
  };
  const refused = book.add(BLOCK, 'Keeper');
  await expect(refused).rejects.toBeInstanceOf(BookRefusal);
  await expect(refused).rejects.toMatchObject({ code: 'file-changed' });
  expect(text).toBe(`${TOML}# by hand\n`);
});

it('takes a file that was edited by hand although the store is full, and says so', async () => {
  store.full = true;
  text = 'name = "Mill race"\n';
  await expect(book.noticed()).rejects.toMatchObject({ code: 'file-errors' });
  text = 'name = "Mill"\n# mended\n';
  expect(await book.noticed()).toBe(true);
  expect(puts).toEqual(['Mill']);
  expect(troubles).toEqual([expect.any(StoreRefuses)]);
});

it('entries are later than those before, whatever the clock does', async () => {
  const note = (says: string) => book.note({ by: 'Keeper', about: 'other', says }, []);
  await note('first');
  nowS -= 1000;
  await note('second');
  const entries = await book.entries();
  expect(entries.map(({ act }) => act.what === 'noted' && act.says)).toEqual(['first', 'second']);
  expect(Date.parse(entries[1]!.at)).toBe(Date.parse(entries[0]!.at) + 1);
});
