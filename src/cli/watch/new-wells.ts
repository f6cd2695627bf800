import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { GuideRefusal } from '../../guided/session.ts';
import type { Well } from '../../model/well.ts';
import type { Service } from './service.ts';

/** How a well file is named in a folder of them. */
export const WELL_FILE = '.well.toml';

/** A well that was made by questions: its file is written, and it lives from then on. */
export async function makeWell(
  service: Service,
  { well, told, text, by }: { well: Well; told: string[]; text: string; by: string | null },
): Promise<void> {
  const { folder, wells, say } = service.options;
  if (folder === undefined)
    throw new GuideRefusal('expected a folder for well files, found a service without one');
  if (service.names.has(well.id))
    throw new GuideRefusal(`expected a well that is not here yet, found ${well.id}`);
  const { limits } = service.reader;
  if (wells.length >= limits.wells)
    throw new GuideRefusal(`expected at most ${limits.wells} wells, found ${wells.length}`);
  const file = join(folder, `${well.id}${WELL_FILE}`);
  await writeFile(file, text, { flag: 'wx' }).catch((error: NodeJS.ErrnoException) => {
    const found = error.code === 'EEXIST' ? 'one there already' : error.message;
    throw new GuideRefusal(`${file}: expected to write a new well file, found ${found}`);
  });
  await service.add({ file, well, told, history: [] });
  say({
    level: 'told',
    well: well.id,
    says: `made by questions${by === null ? '' : ` by ${by}`}: ${file}`,
  });
}
