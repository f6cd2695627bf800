import {
  chownSync,
  closeSync,
  fsyncSync,
  mkdirSync,
  openSync,
  renameSync,
  statSync,
  writeSync,
} from 'node:fs';
import { dirname, resolve } from 'node:path';

/** For its owner alone. */
const OURS_ALONE = 0o600;

/**
 * Writes a file for its owner alone, all of it or nothing. It belongs to whom the folder belongs: a
 * keeper may act as the superuser on a folder that the service reads.
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
  giveAway(part);
  renameSync(part, path);
}

/** A folder for its owner alone, who owns the one above it. */
export function makeSecretFolder(path: string): void {
  mkdirSync(path, { recursive: true, mode: 0o700 });
  giveAway(path);
}

/** What the superuser has made, to whom the folder of it belongs. */
function giveAway(path: string): void {
  if (process.getuid?.() !== 0) return;
  const { uid, gid } = statSync(dirname(resolve(path)));
  chownSync(path, uid, gid);
}
