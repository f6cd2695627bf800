import { DatabaseSync } from 'node:sqlite';
import { StoreFileError } from './schema.ts';

const BUSY = 5;

/**
 * Takes a store for one service alone, until `leave` or until the process ends, however it does. A
 * lock in a file of its own, so that a backup and whoever only reads are not kept out.
 */
export function takeStore(path: string): { leave(): void } {
  let lock: DatabaseSync;
  try {
    lock = new DatabaseSync(`${path}.in-use`, { timeout: 0 });
  } catch {
    // Nothing can be written beside a store on a read-only disk, nor into it.
    return { leave: () => undefined };
  }
  try {
    lock.exec('BEGIN EXCLUSIVE');
  } catch (error) {
    lock.close();
    if ((error as { errcode?: number }).errcode !== BUSY) return { leave: () => undefined };
    throw new StoreFileError(path, 'a store that no other service has open', 'one that has it');
  }
  return { leave: () => void (lock.isOpen && lock.close()) };
}
