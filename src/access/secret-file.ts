import {
  chownSync,
  closeSync,
  fsyncSync,
  openSync,
  renameSync,
  statSync,
  writeSync,
} from 'node:fs';
import { dirname } from 'node:path';

/** For its owner alone. */
const OURS_ALONE = 0o600;

/**
 * Writes a file for its owner alone, all of it or nothing. It belongs to whom the folder belongs:
 * a keeper may act as the superuser on a folder that the service reads.
 */
export function writeSecret(path: string, text: string): void {
  const part = `${path}.part`;
  const file = openSync(part, 'w', OURS_ALONE);
  try {
    writeSync(file, text);
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
  if (process.getuid?.() === 0) {
    const { uid, gid } = statSync(dirname(path));
    chownSync(part, uid, gid);
  }
  renameSync(part, path);
}
