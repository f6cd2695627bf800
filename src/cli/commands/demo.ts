import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { study } from './study.ts';

const folder = join(dirname(fileURLToPath(import.meta.url)), '..', '..', '..', 'demo');

/** What `npm start` shows: a log of a well of our own scenario, studied. */
export function demo(args: string[]): Promise<number> {
  const well = join(folder, 'juniper-bench.well.toml');
  process.stdout.write(
    'The demo log, studied with\n\n' +
      '  ./wellwright study --well demo/juniper-bench.well.toml demo/juniper-bench.csv.gz\n\n',
  );
  return study(['--well', well, join(folder, 'juniper-bench.csv.gz'), ...args]);
}
