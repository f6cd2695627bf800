import { createHash } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';

/** Whatever of the code decides what readings come to. */
const ANALYSING = ['base', 'units', 'physics', 'model', 'analysis', 'pipeline'];

/**
 * A hash of the code that analyses, source or built, below a folder that holds these: states that
 * another version saved are of no use, and nobody has to remember to say so.
 */
export async function analysisVersion(folder: string): Promise<string> {
  const hash = createHash('sha256');
  for (const part of ANALYSING) {
    const names = await readdir(join(folder, part), { recursive: true });
    for (const name of names.sort()) {
      if (!/(?<!\.test|\.d)\.[jt]s$/.test(name)) continue;
      hash.update(`${part}/${name}\n`);
      hash.update(await readFile(join(folder, part, name)));
    }
  }
  return hash.digest('hex').slice(0, 16);
}
