/**
 * Mutation testing: changes one thing at a time in the code of a folder, runs the tests of that
 * folder, and tells which changes no test noticed.
 *
 *   node scripts/mutants.ts src/analysis/runs src/physics
 *
 * Operators: comparison and its neighbour, plus and minus, times and divided by, and and or,
 * minimum and maximum, true and false, a number and its double, a statement left
 * out. Comments, texts, types and imports are left alone. The file is put back after each change;
 * a change that makes the tests hang counts as noticed. One mutant at a time, always the same.
 */
import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

const root = join(import.meta.dirname, '..');

interface Mutant {
  file: string;
  line: number;
  was: string;
  now: string;
  text: string;
}

const SWAPS: [RegExp, string][] = [
  [/ >= /g, ' > '],
  [/ <= /g, ' < '],
  [/ > /g, ' >= '],
  [/ < /g, ' <= '],
  [/ \+ /g, ' - '],
  [/ - /g, ' + '],
  [/ \* /g, ' / '],
  [/ \/ /g, ' * '],
  [/ && /g, ' || '],
  [/ \|\| /g, ' && '],
  [/ === /g, ' !== '],
  [/ !== /g, ' === '],
  [/\+= /g, '-= '],
  [/-= /g, '+= '],
  [/\bMath\.max\b/g, 'Math.min'],
  [/\bMath\.min\b/g, 'Math.max'],
  [/\btrue\b/g, 'false'],
  [/\bfalse\b/g, 'true'],
];
const NUMBER = /(?<![\w.$])(\d+(?:_\d+)*(?:\.\d+)?(?:e-?\d+)?)(?![\w.])/g;
const STATEMENT = /^\s+(?:[\w.[\]!]+ (?:[+\-*/]?=) .*;|[\w.#]+\(.*\);)$/;

/** Comments and quoted text blanked, so that a place in code can be told from one in words. */
function codeOnly(text: string): string {
  const blank = (found: string): string => found.replace(/[^\n]/g, ' ');
  return text
    .replace(/\/\*[\s\S]*?\*\//g, blank)
    .replace(/\/\/[^\n]*/g, blank)
    .replace(/'(?:[^'\\\n]|\\.)*'|`(?:[^`\\]|\\.)*`/g, blank)
    .replace(/^(?:import|export type|export interface|interface|type) [\s\S]*?(?:;|^\})$/gm, blank)
    .replace(/: [A-Za-z<>[\]| ]+(?= =)/g, blank);
}

function mutantsOf(file: string): Mutant[] {
  const text = readFileSync(file, 'utf8');
  const code = codeOnly(text);
  const out: Mutant[] = [];
  const add = (at: number, was: string, now: string): void => {
    const line = text.slice(0, at).split('\n').length;
    out.push({ file, line, was, now, text: text.slice(0, at) + now + text.slice(at + was.length) });
  };
  for (const [pattern, now] of SWAPS)
    for (const found of code.matchAll(pattern)) add(found.index, found[0], now);
  for (const found of code.matchAll(NUMBER)) {
    const value = Number(found[1]!.replaceAll('_', ''));
    add(found.index, found[0], value === 0 ? '1' : String(value * 2));
  }
  let at = 0;
  for (const line of code.split('\n')) {
    if (STATEMENT.test(line)) add(at, line, '');
    at += line.length + 1;
  }
  return out;
}

function notices(folder: string): boolean {
  const vitest = join(root, 'node_modules', 'vitest', 'vitest.mjs');
  // In threads of one process, which ends whole: a worker of its own would go on without end.
  const how = ['--bail', '1', '--pool', 'threads', '--no-isolate'];
  const run = spawnSync(process.execPath, [vitest, 'run', ...how, folder], {
    cwd: root,
    timeout: 60_000,
    killSignal: 'SIGKILL',
    stdio: 'ignore',
  });
  return run.status !== 0;
}

function filesOf(folder: string): string[] {
  return readdirSync(join(root, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /(?<!\.test|\.d)\.ts$/.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name))
    .sort();
}

for (const folder of process.argv.slice(2)) {
  if (notices(folder)) throw new Error(`the tests of ${folder} fail before anything was changed`);
  let killed = 0;
  let total = 0;
  for (const file of filesOf(folder)) {
    const original = readFileSync(file, 'utf8');
    const survivors: Mutant[] = [];
    try {
      for (const mutant of mutantsOf(file)) {
        writeFileSync(file, mutant.text);
        total += 1;
        if (notices(folder)) killed += 1;
        else survivors.push(mutant);
      }
    } finally {
      writeFileSync(file, original);
    }
    for (const { line, was, now } of survivors)
      console.log(
        `${file.slice(root.length + 1)}:${line}: ${was.trim()} -> ${now.trim() || 'left out'}`,
      );
  }
  console.log(`${folder}: ${killed} of ${total} noticed, ${((100 * killed) / total).toFixed(1)} %`);
}
