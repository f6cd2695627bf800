/**
 * A real machine on a pressure switch, which nobody here made: an air compressor, one row every
 * ten seconds. `study` reads it by a mapping of columns and nothing else; its runs are held
 * against the file's own load signal (COMP, 0 while it compresses), which `study` does not see.
 *
 *   node bench/compressor.ts <compressor-10000s.csv>
 *
 * The data (MetroPT-3, first 10,000 s) stays out of the repository. Its description says: five
 * full load cycles, four full decays between loads of -0.00098 to -0.00099 bar/s.
 *
 * Unlike a well pump, the motor runs on idle for some seven minutes after each load and takes 3.8 A
 * of its 6 A meanwhile. A run of the study is a time in which the motor takes current, so it begins
 * with the load and ends with the idling; both agreements are printed.
 */
import { studyCompressor } from './support/compressor.ts';

const [file] = process.argv.slice(2);
if (file === undefined) throw new Error('expected the path of the csv file');

const result = await studyCompressor(file);
const { loads, runs, rows } = result;
const rates = (values: number[]): string => values.map((v) => v.toFixed(5)).join(' ');
console.log(`rows ${rows}, set aside ${JSON.stringify(result.study.span.setAside)}`);
console.log(`load cycles: ${loads.length} by COMP, ${runs.length} runs by study`);
for (const [k, load] of loads.entries())
  console.log(
    `  load ${k + 1}: start off by ${((runs[k]?.fromS ?? NaN) - load.fromS).toFixed(0)} s`,
  );
console.log(`motor on and off: ${result.agreesWithMotorPercent.toFixed(1)} % of rows agree`);
console.log(`loaded or not (COMP): ${result.agreesWithLoadPercent.toFixed(1)} % of rows agree`);
console.log('fall of pressure by least squares, bar/s:');
console.log(`  between COMP's loads:     ${rates(result.fallBetweenLoads)}`);
console.log(`  between runs of study:    ${rates(result.fallBetweenRuns)} (after the idling)`);
