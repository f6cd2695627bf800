import { statfsSync } from 'node:fs';
import { dirname } from 'node:path';
import { StoreDamaged, StoreRefuses } from '../../ports/reading-store.ts';

/** Result codes of SQLite ("Result and Error Codes" of its manual), the low byte. */
const BUSY = 5;
const READ_ONLY = 8;
const IO_ERROR = 10;
const CORRUPT = 11;
export const FULL = 13;
const CANNOT_OPEN = 14;
const NOT_A_DATABASE = 26;
/** A commit of many packs, and the log of the database that it goes to. */
const ROOM_BYTES = 1 << 20;
/** The shared index of the log could not be made longer. */
const IO_ERROR_INDEX_SIZE = 4874;

/** An error of the database as what the port says of the disk; any other error as it is. */
export function diskError(error: unknown): unknown {
  if (error instanceof StoreDamaged)
    return Object.assign(new StoreRefuses('disk-error', error.message), { cause: error });
  if (!(error instanceof Error) || !('errcode' in error)) return error;
  const code = Number(error.errcode);
  const refuses = (why: StoreRefuses['why']) =>
    Object.assign(new StoreRefuses(why, error.message), { cause: error });
  if (code === IO_ERROR_INDEX_SIZE) return refuses('disk-full');
  switch (code & 0xff) {
    case FULL:
      return refuses('disk-full');
    case READ_ONLY:
      return refuses('read-only');
    case BUSY:
    case IO_ERROR:
    case CORRUPT:
    case CANNOT_OPEN:
      return refuses('disk-error');
    default:
      return error;
  }
}

/** Throws StoreRefuses where a disk has less space than a few commits take. */
export function expectSpace(path: string): void {
  const { bavail, bsize } = statfsSync(dirname(path));
  const free = bavail * bsize;
  if (free >= ROOM_BYTES) return;
  throw new StoreRefuses('disk-full', `expected ${ROOM_BYTES} bytes free, found ${free}`);
}

/** What came of reading, where it was damage; any other error as it is. */
export function readError(error: unknown): unknown {
  const code = Number((error as { errcode?: number }).errcode) & 0xff;
  if (code !== CORRUPT && code !== NOT_A_DATABASE) return error;
  return Object.assign(new StoreDamaged((error as Error).message), { cause: error });
}

/** Whether the disk lets a store be read but not written. */
export function mayStillBeRead(error: unknown): boolean {
  const code = Number((error as { errcode?: number }).errcode) & 0xff;
  return code === READ_ONLY || code === CANNOT_OPEN;
}
