/** What an entry of the book is about, beside the well file. */
export const NOTE_ABOUT = ['other', 'water-sample'] as const;
export type NoteAbout = (typeof NOTE_ABOUT)[number];

/** Kinds of the store that the book is kept under. */
export const BOOK_KINDS = ['service', 'test', 'calibration', 'note'] as const;
export type BookKind = (typeof BOOK_KINDS)[number];

/** A photo of an entry: what it is, without its bytes. */
export interface BookPhoto {
  type: 'image/jpeg' | 'image/png' | 'image/webp';
  bytes: number;
  widthPx: number;
  heightPx: number;
}

/** A change of the well file; `from` and `to` are SHA-256 of the texts. */
interface FileChange {
  from: string;
  to: string;
  /** Why the change did not come about; absent where it did. */
  failed?: string;
}

/** What somebody did with the book. `by` is a typed name, null for a hand outside this program. */
export type BookAct =
  | ({ what: 'added'; by: string; table: string; values: Record<string, unknown> } & FileChange)
  | ({ what: 'edited'; by: string | null } & FileChange)
  | {
      what: 'noted';
      by: string;
      /** RFC 3339: when it was. */
      on: string;
      about: NoteAbout;
      says: string;
      photos: BookPhoto[];
    };

/** One act, and when it came. */
export interface BookEntry {
  id: string;
  kind: BookKind;
  /** RFC 3339. */
  at: string;
  act: BookAct;
}

/** What comes round every year: the calendar of the trade, common practice. */
export const REMINDERS = ['air-charge', 'water-sample', 'calibration'] as const;

/** When it was done last, and when it is due. */
export interface Reminder {
  name: (typeof REMINDERS)[number];
  /** RFC 3339; null where the book has none. */
  last: string | null;
  /** RFC 3339; null where nothing tells. */
  due: string | null;
  /** The plumbing or the well was open since: sooner than the year. */
  opened: boolean;
}
