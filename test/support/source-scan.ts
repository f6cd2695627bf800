import { readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';

export const ROOT = fileURLToPath(new URL('../..', import.meta.url));

const NOT_OURS = new Set(['node_modules', 'dist', 'out', 'coverage', 'reports', '.git']);

/** Files below a folder of the repository, as paths from its root with `/`. */
export function filesBelow(folder: string): string[] {
  const found: string[] = [];
  const walk = (path: string) => {
    for (const entry of readdirSync(path, { withFileTypes: true })) {
      if (NOT_OURS.has(entry.name) || entry.name.startsWith('.stryker')) continue;
      const below = join(path, entry.name);
      if (entry.isDirectory()) walk(below);
      else found.push(relative(ROOT, below).replaceAll('\\', '/'));
    }
  };
  walk(join(ROOT, folder));
  return found.sort();
}

export const textOf = (path: string): string => readFileSync(join(ROOT, path), 'utf8');

const TOKENS =
  /('(?:\\.|[^'\\\n])*'|"(?:\\.|[^"\\\n])*")|(`(?:\\.|[^`\\])*`)|\/\/[^\n]*|\/\*[\s\S]*?\*\//g;

/** Source without its comments. */
const uncommented = (source: string): string =>
  source.replaceAll(TOKENS, (_, quoted, template) => quoted ?? template ?? ' ');

/** Source without comments and quoted strings: what is left can be searched for names in use. */
export const codeOf = (source: string): string =>
  source.replaceAll(
    TOKENS,
    (_, quoted, template) => (quoted === undefined ? template : "''") ?? ' ',
  );

const IMPORTS = [
  // import x from 'y', export { x } from 'y', over as many lines as it takes
  /\b(?:import|export)\b[^'"`;]*?\bfrom\s*['"]([^'"]+)['"]/g,
  // import 'y'
  /\bimport\s*['"]([^'"]+)['"]/g,
  // import('y'), also as a type
  /\bimport\s*\(\s*['"`]([^'"`]+)['"`]/g,
];

/** What a module imports, re-exports or loads, as written; `<computed>` for what is not a name. */
export function importsOf(source: string): string[] {
  const text = uncommented(source);
  const named = IMPORTS.flatMap((form) => [...text.matchAll(form)].map((match) => match[1] ?? ''));
  const computed = [...text.matchAll(/\bimport\s*\(\s*(?!['"`\s])/g)].map(() => '<computed>');
  return [...named, ...computed];
}

export interface FunctionSpan {
  line: number;
  lines: number;
}

const OPENS = [
  /^(\s*)(?:export )?(?:default )?(?:async )?function\b/,
  /^(\s*)(?:export )?(?:const|let) [\w$]+(?:: [^=]+)? = (?:async )?(?:\(.*|[\w$]+ =>.*)$/,
  /^(\s*)(?:(?:static|async|private|protected|override|get|set|readonly) )*#?[\w$]+\(.*\).*\{$/,
];
/** The last line of a head over several lines: `}: Options): string {` */
const HEAD_GOES_ON = /^\s*[)}].*(?:\{|=>|\()$/;
const STATEMENTS = /^\s*(?:if|for|while|switch|catch|return|else|do)\b/;

/** Functions as the formatter lays them out: they end where their indent comes back. */
export function functionsOf(source: string): FunctionSpan[] {
  const lines = source.split('\n');
  return lines.flatMap((text, at) => {
    const opened = STATEMENTS.test(text) ? null : OPENS.map((o) => o.exec(text)).find(Boolean);
    if (!opened) return [];
    const indent = opened[1]?.length ?? 0;
    const back = lines.findIndex(
      (line, i) => i > at && line !== '' && line.search(/\S/) <= indent && !HEAD_GOES_ON.test(line),
    );
    const end = back < 0 ? lines.length : back;
    const closes = /^\s*[)}\]]/.test(lines[end] ?? '');
    const last = lines.slice(at, closes ? end + 1 : end).findLastIndex((line) => line !== '');
    return [{ line: at + 1, lines: last + 1 }];
  });
}
