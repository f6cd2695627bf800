/**
 * The sign matrix as the plant shows it: prints the table, or with a file writes it there between
 * the marks `<!-- sign matrix -->` and `<!-- end -->`:
 *   rehearse-sign-matrix.ts [docs/rehearsal.md]
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { runSignMatrix } from '../test/simulation/sign-matrix.ts';
import { rowsPrinted } from '../test/simulation/sign-matrix-text.ts';

const results = runSignMatrix();
const within = results.filter((r) => r.within).length;
const table = [
  `${results.length} signs: ${within} reproduced, ${results.length - within} explained.`,
  '',
  '| entry | fault | system | sign | trade | seen | |',
  '| --- | --- | --- | --- | --- | --- | --- |',
  ...rowsPrinted(results),
].join('\n');

const [path] = process.argv.slice(2);
if (path === undefined) console.log(table);
else {
  const text = readFileSync(path, 'utf8');
  const marked = /(<!-- sign matrix -->\n)[\s\S]*(\n<!-- end -->)/;
  if (!marked.test(text)) throw new Error(`${path}: expected the marks of the sign matrix`);
  writeFileSync(
    path,
    text.replace(marked, (_, open, close) => `${open}\n${table}\n${close}`),
  );
}
