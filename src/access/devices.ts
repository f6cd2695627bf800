import { readEntries, withKey, withoutName, writeEntries } from './register.ts';

/** A key for a device or a program, kept as its hash and given back this once. */
export function letInByKey(folder: string, name: string, nowS: number): string {
  const { entries, key } = withKey(readEntries(folder), name, nowS);
  writeEntries(folder, entries);
  return key;
}

export const shutOut = (folder: string, name: string): void =>
  writeEntries(folder, withoutName(readEntries(folder), name));
