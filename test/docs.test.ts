import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readLogs } from '../src/ingest/file/read-logs.ts';
import { parseWellFile } from '../src/wellfile/parse.ts';
import { codeOf, filesBelow, ROOT, textOf } from './support/source-scan.ts';

const pages = [
  ...['README.md', 'ARCHITECTURE.md', 'CONTRIBUTING.md', 'CHANGELOG.md'],
  ...filesBelow('docs').filter((path) => path.endsWith('.md')),
];
const packageJson = JSON.parse(textOf('package.json')) as {
  license: string;
  scripts: Record<string, string>;
  dependencies: Record<string, string>;
  optionalDependencies: Record<string, string>;
  devDependencies: Record<string, string>;
};

/** What stands in fences and between back-ticks: where commands are shown. */
const shown = (text: string) =>
  [...text.matchAll(/```[^\n]*\n([\s\S]*?)```|`([^`\n]+)`/g)].map((m) => m[1] ?? m[2] ?? '');

const headings = (text: string) =>
  [...text.matchAll(/^#+ (.+)$/gm)].map((match) =>
    (match[1] ?? '')
      .toLowerCase()
      .replaceAll(/[^\w\s-]/g, '')
      .replaceAll(/\s/g, '-'),
  );

describe('commands', () => {
  it('of npm that the pages show are scripts, and the two of the README are there', () => {
    const commands = pages.flatMap((page) =>
      shown(textOf(page)).flatMap((text) => [
        ...text.matchAll(/\bnpm (?:run ([\w:-]+)|(start|test)\b)/g),
      ]),
    );
    const names = commands.map((match) => match[1] ?? match[2] ?? '');
    expect(names.length).toBeGreaterThanOrEqual(6);
    for (const name of names) expect(Object.keys(packageJson.scripts), name).toContain(name);
    expect(shown(textOf('README.md'))[0]).toBe('npm start\nnpm test\n');
  });
  it('and options of wellwright are known to the command line', () => {
    const cli = filesBelow('src/cli')
      .filter((path) => path.endsWith('.ts') && !path.endsWith('.test.ts'))
      .map(textOf)
      .join('\n');
    const lines = pages.flatMap((page) =>
      shown(textOf(page)).flatMap((text) => [...text.matchAll(/\.\/wellwright ([a-z-]+)(.*)/g)]),
    );
    expect(lines.length).toBeGreaterThanOrEqual(2);
    for (const [line, command = '', rest = ''] of lines) {
      expect(cli, line).toMatch(new RegExp(`['"\`]${command}['"\`]|\\b${command}[,:(]`));
      const options = [...rest.matchAll(/--([a-z-]+)/g)].map((match) => match[1] ?? '');
      for (const option of options) {
        expect(cli, `${line}: --${option}`).toMatch(
          new RegExp(`--${option}\\b|['"\`]${option}['"\`]|\\b${option}:`),
        );
      }
    }
  });
});

describe('examples of the README', () => {
  const fences = (kind: string) =>
    [...textOf('README.md').matchAll(/^```(\w*)\n([\s\S]*?)^```$/gm)]
      .filter((match) => match[1] === kind)
      .map((match) => match[2] ?? '');
  it('the well file is a well file', () => {
    const [example = ''] = fences('toml');
    const result = parseWellFile(example);
    expect(result.ok ? [] : result.issues).toEqual([]);
    expect(result.ok && result.well.name).toBe('Alder barn');
    expect(result.ok && result.well.bucketTests).toHaveLength(1);
  });
  it('the log is a log', async () => {
    const example = fences('').find((text) => text.startsWith('time,')) ?? '';
    const folder = mkdtempSync(join(tmpdir(), 'wellwright-'));
    try {
      const path = join(folder, 'example.csv');
      const options = { columns: {}, timeZone: 'UTC', atmospherePa: 101_325 };
      writeFileSync(path, example);
      const report = await readLogs([path], options, () => {});
      expect(report.used).toBe(4);
      expect(report.setAside).toEqual([]);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
});

describe('links', () => {
  it('lead to files and headings that are there', () => {
    let looked = 0;
    for (const page of pages) {
      const text = textOf(page).replaceAll(/```[\s\S]*?```/g, '');
      for (const [link, to = ''] of text.matchAll(/\[[^\]]*\]\(([^)\s]+)\)/g)) {
        if (/^https?:/.test(to)) continue;
        looked++;
        const [path = '', heading] = to.split('#');
        const target = path === '' ? page : join(dirname(page), path);
        expect(existsSync(join(ROOT, target)), `${page}: ${link}`).toBe(true);
        if (heading) expect(headings(textOf(target)), `${page}: ${link}`).toContain(heading);
      }
    }
    expect(looked).toBeGreaterThanOrEqual(10);
  });
  it('and paths named in the text are there too', () => {
    let looked = 0;
    for (const page of pages) {
      for (const text of shown(textOf(page))) {
        if (!/^(src|test|bench|docs|scripts|demo|device)(\/[\w.-]+)*$/.test(text)) continue;
        looked++;
        expect(existsSync(join(ROOT, text)), `${page}: ${text}`).toBe(true);
      }
    }
    expect(looked).toBeGreaterThanOrEqual(20);
  });
});

describe('pages say what the code has', () => {
  it('dependencies, both ways', () => {
    const rows = [...textOf('docs/dependencies.md').matchAll(/^\| (`.+?) +\|/gm)];
    const printed = rows.flatMap(([, cell = '']) =>
      [...cell.matchAll(/`([^`]+)`/g)].map((match) => match[1] ?? ''),
    );
    const used = Object.keys({
      ...packageJson.dependencies,
      ...packageJson.optionalDependencies,
      ...packageJson.devDependencies,
    });
    expect(printed.length).toBeGreaterThan(10);
    expect(printed.toSorted()).toEqual(used.toSorted());
  });
  it('folders of src, each in the table of ARCHITECTURE.md', () => {
    const folders = new Set(filesBelow('src').map((path) => path.split('/')[1] ?? ''));
    expect(folders.size).toBeGreaterThan(8);
    for (const folder of folders)
      expect(textOf('ARCHITECTURE.md')).toMatch(new RegExp(`^\\| \`src/${folder}\` `, 'm'));
  });
  it('names of the code that they mention', () => {
    const code = filesBelow('src')
      .filter((path) => path.endsWith('.ts'))
      .map((path) => codeOf(textOf(path)))
      .concat(filesBelow('device').map(textOf))
      .join('\n');
    const names = pages
      .flatMap((page) => shown(textOf(page)))
      .filter((text) => /^[A-Z][A-Z_]{4,}$/.test(text));
    expect(names.length).toBeGreaterThanOrEqual(1);
    for (const name of names) expect(code, name).toMatch(new RegExp(`\\b${name}\\b`));
  });
  it('the licence', () => {
    expect(packageJson.license).toBe('Apache-2.0');
    const licence = textOf('LICENSE');
    expect(licence).toContain('Apache License');
    expect(licence).toContain('Version 2.0, January 2004');
    expect(licence).toContain('END OF TERMS AND CONDITIONS');
  });
});
