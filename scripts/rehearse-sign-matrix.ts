/** Prints the sign matrix as the plant shows it, a table for docs/rehearsal.md. */
import { runSignMatrix } from '../test/simulation/sign-matrix.ts';
import { rowsPrinted } from '../test/simulation/sign-matrix-text.ts';

const results = runSignMatrix();
console.log('| entry | fault | system | sign | trade | seen | |');
console.log('| --- | --- | --- | --- | --- | --- | --- |');
for (const line of rowsPrinted(results)) console.log(line);
const within = results.filter((r) => r.within).length;
console.log(
  `\n${results.length} signs: ${within} reproduced, ${results.length - within} explained.`,
);
