import type { BookAct, BookEntry, BookKind, BookPhoto, NoteAbout } from '../model/book.ts';
import type { Well } from '../model/well.ts';
import type { Clock } from '../ports/clock.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import { TextChanged, type TextRead, TextRefuses, type WellText } from '../ports/well-text.ts';
import { type WellFileBlock, withBlock } from '../wellfile/add-block.ts';
import type { WellFileIssue } from '../wellfile/issue.ts';
import type { KeyValues } from '../wellfile/with-keys.ts';
import { type Attachment, Journal } from './journal.ts';
import { readAs, wellOfText } from './read-text.ts';
import { BookRefusal } from './refusal.ts';
import { withSensing } from './with-sensing.ts';

export interface BookPorts {
  store: ReadingStore;
  clock: Clock;
  text: WellText;
  /** The well goes on with the file as it now is. */
  put(well: Well, told: string[]): void;
  /** The book has changed. */
  tell(): void;
  /** What went wrong without stopping anything. */
  trouble(error: unknown): void;
}

/** The well file as it stands on the disk, with all that is wrong in it. */
export interface FileNow extends TextRead {
  issues: WellFileIssue[];
}

/** A photo that says nothing but the picture, and its bytes. */
export interface CleanPhoto {
  photo: BookPhoto;
  base64: string;
}

type FileAct = Extract<BookAct, { what: 'added' | 'edited' }>;

/**
 * The book of one well: its file, which stays the one truth, and the journal of who did what when.
 * One change at a time; each is kept in the journal, with the text of before, and then made.
 */
export class WellBook {
  readonly #wellId: string;
  readonly #ports: BookPorts;
  readonly #journal: Journal;
  /** The text that holds; null where none was read yet. */
  #inForce: TextRead | null;
  #turn: Promise<unknown> = Promise.resolve();

  private constructor(
    wellId: string,
    ports: BookPorts,
    journal: Journal,
    inForce: TextRead | null,
  ) {
    this.#wellId = wellId;
    this.#ports = ports;
    this.#journal = journal;
    this.#inForce = inForce;
  }

  static async open(wellId: string, ports: BookPorts): Promise<WellBook> {
    const text = await ports.text.read().catch(() => null);
    return new WellBook(wellId, ports, await Journal.open(wellId, ports), text);
  }

  async file(): Promise<FileNow> {
    const read = await this.#read();
    const as = readAs(read.text, this.#wellId);
    return { ...read, issues: as.ok ? [] : as.issues };
  }

  /** A whole new text, based on the one with this hash. */
  replace(text: string, basedOn: string, by: string): Promise<FileNow> {
    return this.#inTurn(() =>
      this.#change(text, basedOn, 'note', (from, to) => ({ what: 'edited', by, from, to })),
    );
  }

  /** One more block; without `basedOn` at the end of whatever text is there. */
  add(block: WellFileBlock, by: string, basedOn?: string): Promise<FileNow> {
    return this.#inTurn(async () => {
      const { text, hash } = await this.#read();
      const act = (from: string, to: string): FileAct => ({
        what: 'added',
        by,
        ...block,
        from,
        to,
      });
      return this.#change(withBlock(text, block), basedOn ?? hash, kindOf(block.table), act);
    });
  }

  /** Keys of `[sensing]` put in, changed or, where null, taken out; all else stays as it was. */
  tellSensing(keys: KeyValues, by: string, basedOn?: string): Promise<FileNow> {
    return this.#inTurn(async () => {
      const { text, hash } = await this.#read();
      const wellId = this.#wellId;
      const changed = withSensing(text, keys, { wellId, name: this.#ports.text.name });
      const act = (from: string, to: string): FileAct => ({ what: 'edited', by, from, to });
      return this.#change(changed, basedOn ?? hash, 'note', act);
    });
  }

  /** What is noted without touching the well file. */
  note(
    note: { by: string; on?: string | undefined; about: NoteAbout; says: string },
    photos: readonly CleanPhoto[],
  ): Promise<BookEntry> {
    return this.#inTurn(async () => {
      const on = note.on ?? new Date(this.#ports.clock.nowS() * 1000).toISOString();
      const act: BookAct = { what: 'noted', ...note, on, photos: photos.map(({ photo }) => photo) };
      const kept = photos.map(({ base64 }): Attachment => ({ what: 'photo', base64 }));
      const { entry } = await this.#journal.put('note', act, kept);
      this.#ports.tell();
      return entry;
    });
  }

  /** By the time that they came. */
  entries(): Promise<BookEntry[]> {
    return this.#journal.entries();
  }

  /** A photo of an entry, the place counted from 0; null where there is none. */
  async photo(entryId: string, place: number): Promise<CleanPhoto | null> {
    const entry = (await this.entries()).find(({ id }) => id === entryId);
    const photo = entry?.act.what === 'noted' ? entry.act.photos[place] : undefined;
    const kept = await this.#journal.attachment(entryId, place);
    if (photo === undefined || kept?.what !== 'photo') return null;
    return { photo, base64: kept.base64 };
  }

  /** The text of the well file before a change; null where the entry is none. */
  async fileBefore(entryId: string): Promise<string | null> {
    const kept = await this.#journal.attachment(entryId, 0);
    return kept?.what === 'file-before' ? kept.text : null;
  }

  /**
   * The file was touched by another hand: what it says now holds, and the text of before is kept.
   * False where it says what holds already. Throws a refusal, and what was read before still holds.
   */
  noticed(): Promise<boolean> {
    return this.#inTurn(async () => {
      const now = await this.#read();
      const before = this.#inForce;
      if (now.hash === before?.hash) return false;
      const { well, told } = wellOfText(now.text, this.#wellId, this.#ports.text.name);
      this.#inForce = now;
      this.#ports.put(well, told);
      if (before !== null) await this.#byAnotherHand(before, now);
      this.#ports.tell();
      return true;
    });
  }

  /** It holds already, so a store that takes nothing does not undo it. */
  async #byAnotherHand(before: TextRead, now: TextRead): Promise<void> {
    const act: BookAct = { what: 'edited', by: null, from: before.hash, to: now.hash };
    await this.#journal
      .put('note', act, [{ what: 'file-before', text: before.text }])
      .catch((error: unknown) => this.#ports.trouble(error));
  }

  async #change(
    text: string,
    basedOn: string,
    kind: BookKind,
    actOf: (from: string, to: string) => FileAct,
  ): Promise<FileNow> {
    const before = await this.#read();
    if (before.hash !== basedOn) throw changed(before.hash);
    const { well, told } = wellOfText(text, this.#wellId, this.#ports.text.name);
    if (text === before.text) return { ...before, issues: [] };
    const planned = actOf(before.hash, this.#ports.text.hashOf(text));
    const kept = await this.#journal.put(kind, planned, [
      { what: 'file-before', text: before.text },
    ]);
    try {
      this.#inForce = await this.#ports.text.write(text, basedOn);
    } catch (error) {
      const act = { ...planned, failed: (error as Error).message };
      await this.#journal.rewrite({ ...kept, entry: { ...kept.entry, act } });
      throw refused(error);
    }
    this.#ports.put(well, told);
    this.#ports.tell();
    return { ...this.#inForce, issues: [] };
  }

  #read(): Promise<TextRead> {
    return this.#ports.text.read().catch((error: unknown) => {
      throw refused(error);
    });
  }

  #inTurn<T>(act: () => Promise<T>): Promise<T> {
    const done = this.#turn.then(act);
    this.#turn = done.catch(() => undefined);
    return done;
  }
}

const kindOf = (table: WellFileBlock['table']): BookKind =>
  table === 'service' || table === 'calibration' ? table : 'test';

const changed = (hash: string): BookRefusal =>
  new BookRefusal('file-changed', `expected the text that it is based on, found ${hash}`);

function refused(error: unknown): unknown {
  if (error instanceof TextChanged) return changed(error.hash);
  if (error instanceof TextRefuses) return new BookRefusal('file-refuses', error.message);
  return error;
}
