import { createHash } from 'node:crypto';
import { open, readFile, realpath, rename, rm, stat } from 'node:fs/promises';
import { dirname } from 'node:path';
import { TextChanged, type TextRead, TextRefuses, type WellText } from '../ports/well-text.ts';

/** A well file on the disk. A link stays a link: what it leads to is written. */
export class WellTextFile implements WellText {
  readonly name: string;

  constructor(file: string) {
    this.name = file;
  }

  hashOf(text: string): string {
    return createHash('sha256').update(text).digest('hex');
  }

  async read(): Promise<TextRead> {
    try {
      const bytes = await readFile(this.name);
      const text = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
      return { text, hash: this.hashOf(text) };
    } catch (error) {
      const { code, message } = error as NodeJS.ErrnoException;
      const found = code === 'ERR_ENCODING_INVALID_ENCODED_DATA' ? 'other than UTF-8' : message;
      throw new TextRefuses(`${this.name}: expected a well file, found ${found}`);
    }
  }

  /** Written beside, synced, and put in its place at once: a reader sees one text or the other. */
  async write(text: string, basedOn: string): Promise<TextRead> {
    const place = await realpath(this.name).catch(() => this.name);
    const beside = `${place}.new`;
    try {
      // One that a kill has left.
      await rm(beside, { force: true });
      await writeSynced(beside, text, (await stat(place)).mode);
      const { hash } = await this.read();
      if (hash !== basedOn) throw new TextChanged(hash);
      await rename(beside, place);
      await syncFolder(dirname(place));
    } catch (error) {
      await rm(beside, { force: true }).catch(() => undefined);
      if (error instanceof TextChanged || error instanceof TextRefuses) throw error;
      throw new TextRefuses(`${place}: expected to write it, found ${why(error)}`);
    }
    return { text, hash: this.hashOf(text) };
  }
}

async function writeSynced(path: string, text: string, mode: number): Promise<void> {
  const file = await open(path, 'wx', mode & 0o777);
  try {
    await file.writeFile(text);
    await file.sync();
  } finally {
    await file.close();
  }
}

async function syncFolder(path: string): Promise<void> {
  // A folder cannot be opened there.
  if (process.platform === 'win32') return;
  const folder = await open(path, 'r');
  try {
    await folder.sync();
  } finally {
    await folder.close();
  }
}

const WHY: Record<string, string> = {
  EACCES: 'that this service may not write in its folder',
  EPERM: 'that this service may not write in its folder',
  EROFS: 'a read-only disk',
  ENOSPC: 'a full disk',
  EDQUOT: 'a full disk',
  ENOENT: 'no such file',
};

function why(error: unknown): string {
  const { code, message } = error as NodeJS.ErrnoException;
  return WHY[code ?? ''] ?? message;
}
