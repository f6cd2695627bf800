import type { BookEntry, NoteAbout } from '../../src/model/book.ts';
import type { BlockTable, BlockValue } from '../../src/wellfile/add-block.ts';
import type { WellFileIssue } from '../../src/wellfile/issue.ts';
import { parseWellFile } from '../../src/wellfile/parse.ts';
import type { KeyValues } from '../../src/wellfile/with-keys.ts';
import { ask, ofWell, tell } from './api.ts';

/** The well file as it is written, with all that is wrong in it. */
export interface WellText {
  text: string;
  hash: string;
  issues: WellFileIssue[];
}

export const askJournal = async (wellId: string): Promise<BookEntry[]> =>
  (await ask<{ entries: BookEntry[] }>(ofWell(wellId, 'book'))).body.entries;

export const askWellText = async (wellId: string): Promise<WellText> =>
  (await ask<WellText>(ofWell(wellId, 'file-text'))).body;

/** A whole new text in place of the one with the hash `basedOn`. */
export const putWellText = (
  wellId: string,
  asked: { by: string; basedOn: string; text: string },
): Promise<WellText> => tell(ofWell(wellId, 'file-text'), asked, 'PUT');

/** One more block of the well file: a service, a test, a calibration. */
export const addBlock = (
  wellId: string,
  asked: { by: string; table: BlockTable; values: Record<string, BlockValue> },
): Promise<WellText> => tell(ofWell(wellId, 'file-text/blocks'), asked);

/** Keys of `[sensing]`; null takes one out. */
export const tellChain = (
  wellId: string,
  asked: { by: string; keys: KeyValues },
): Promise<WellText> => tell(ofWell(wellId, 'file-text/sensing'), asked);

export const putNote = (
  wellId: string,
  asked: { by: string; on: string; about: NoteAbout; says: string; photos: string[] },
): Promise<BookEntry> => tell(ofWell(wellId, 'book'), asked);

export const photoAddress = (wellId: string, entryId: string, place: number): string =>
  `/api/v1${ofWell(wellId, `book/${entryId}/photos/${place}`)}`;

/** All that is wrong in a text, by the code of the service. */
export function issuesIn(text: string): WellFileIssue[] {
  const read = parseWellFile(text);
  return read.ok ? [] : read.issues;
}
