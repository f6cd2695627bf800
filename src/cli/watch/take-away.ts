import { execFile } from 'node:child_process';
import { once } from 'node:events';
import { createReadStream, statSync } from 'node:fs';
import { rm } from 'node:fs/promises';
import { extname, join } from 'node:path';
import type { Readable } from 'node:stream';
import { promisify } from 'node:util';
import { GuideRefusal } from '../../guided/session.ts';

/** Beside this file, as source or compiled. */
const MAIN = join(import.meta.dirname, '..', `main${extname(import.meta.filename)}`);

/**
 * A checked copy of the store to take away. `store backup` makes it, in a process of its own: so
 * the service goes on meanwhile. It lies beside the store until it was read or left.
 */
export async function takeAway(store: string): Promise<{ bytes: number; body: Readable }> {
  const copy = `${store}.take-away`;
  const remove = () => rm(copy, { force: true });
  await remove();
  const args = [...process.execArgv, MAIN, 'store', 'backup', store, copy];
  await promisify(execFile)(process.execPath, args).catch(async (error: { stderr?: string }) => {
    await remove();
    throw new GuideRefusal(
      `expected a copy of the store, found: ${error.stderr?.trim() || String(error)}`,
    );
  });
  const body = createReadStream(copy);
  body.once('close', () => void remove());
  await once(body, 'open');
  return { bytes: statSync(copy).size, body };
}
