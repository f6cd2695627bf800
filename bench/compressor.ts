/**
 * A real machine on a pressure switch, which nobody here made: an air compressor, one row every
 * ten seconds. `study` reads it by a mapping of columns and nothing else; its runs are held
 * against the file's own load signal (COMP, 0 while it compresses), which `study` does not see.
 *
 *   node bench/compressor.ts <compressor-10000s.csv>
 *
 * The data (MetroPT-3, first 10,000 s) stays out of the repository. Its description says: five
 * full load cycles, four full decays between loads of -0.00098 to -0.00099 bar/s.
 */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { studyLogs } from '../src/cli/commands/study.ts';
import { parseWellFile } from '../src/wellfile/parse.ts';

const [file] = process.argv.slice(2);
if (file === undefined) throw new Error('expected the path of the csv file');
const BAR_PA = 1e5;

const [heading = '', ...rows] = readFileSync(file, 'utf8').trim().split('\n');
const column = (name: string): number => heading.split(',').indexOf(name);
const [timeAt, loadAt, pressureAt] = ['timestamp', 'COMP', 'Reservoirs'].map(column);
const truth = rows.map((row) => {
  const cells = row.split(',');
  return {
    timeS: Date.parse(`${cells[timeAt!]!.replace(' ', 'T')}Z`) / 1000,
    loaded: Number(cells[loadAt!]) === 0,
    bar: Number(cells[pressureAt!]),
  };
});
const loads = truth.filter((row, i) => row.loaded && i > 0 && !truth[i - 1]!.loaded);
const unloads = truth.filter((row, i) => !row.loaded && i > 0 && truth[i - 1]!.loaded);

const folder = mkdtempSync(join(tmpdir(), 'wellwright-bench-'));
try {
  writeFileSync(join(folder, 'well.toml'), 'name = "Compressor"\ntime_zone = "UTC"\n');
  const parsed = parseWellFile(readFileSync(join(folder, 'well.toml'), 'utf8'));
  if (!parsed.ok) throw new Error('the well file of this bench is wrong');
  const study = await studyLogs(parsed.well, [file], {
    columns: {
      timestamp: 'time',
      Reservoirs: 'pressure [bar]',
      Motor_current: 'current [A]',
    },
    told: [],
  });
  const starts = study.runs.map((run) => Date.parse(run.start) / 1000);
  console.log(`load cycles: ${loads.length} by COMP, ${study.runs.length} runs by study`);
  for (const [i, load] of loads.entries())
    console.log(`  load ${i + 1}: start off by ${((starts[i] ?? NaN) - load.timeS).toFixed(0)} s`);
  console.log('fall of pressure between loads, bar/s:');
  for (let i = 0; i + 1 < study.runs.length; i++) {
    const run = study.runs[i]!;
    const next = study.runs[i + 1]!;
    if (run.stop === null || run.cutOutPaGauge === null || next.cutInPaGauge === null) continue;
    const seconds = Date.parse(next.start) / 1000 - Date.parse(run.stop) / 1000;
    const ours = (next.cutInPaGauge - run.cutOutPaGauge) / BAR_PA / seconds;
    const from = unloads.find((row) => row.timeS > starts[i]!);
    const to = loads[i + 1];
    const real =
      from === undefined || to === undefined ? NaN : (to.bar - from.bar) / (to.timeS - from.timeS);
    console.log(
      `  after ${i + 1}: ${ours.toFixed(5)} by study, ${real.toFixed(5)} between COMP's loads`,
    );
  }
} finally {
  rmSync(folder, { recursive: true });
}
