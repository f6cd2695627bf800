import { posix } from 'node:path';
import { describe, expect, it } from 'vitest';
import { codeOf, filesBelow, functionsOf, importsOf, textOf } from './support/source-scan.ts';

/** What a folder of src may import of src, and which packages; ARCHITECTURE.md prints it. */
const MAY_IMPORT: Record<string, { folders: string[]; packages: string[] }> = {
  base: { folders: [], packages: [] },
  units: { folders: ['base'], packages: [] },
  physics: { folders: ['base', 'units'], packages: [] },
  model: { folders: ['base', 'units'], packages: [] },
  wellfile: { folders: ['base', 'units', 'model'], packages: ['smol-toml'] },
  messages: { folders: ['base', 'units', 'model'], packages: [] },
  analysis: { folders: ['base', 'units', 'physics', 'model'], packages: ['ml-matrix'] },
  pipeline: { folders: ['base', 'units', 'model', 'analysis'], packages: [] },
  ports: { folders: ['model'], packages: [] },
  living: { folders: ['base', 'units', 'model', 'pipeline', 'ports'], packages: [] },
  report: { folders: ['base', 'units', 'physics', 'model'], packages: [] },
  alarms: { folders: ['base', 'model', 'ports', 'report'], packages: [] },
  book: { folders: ['base', 'model', 'ports', 'wellfile', 'instruments'], packages: [] },
  guided: {
    folders: [
      'base',
      'units',
      'model',
      'wellfile',
      'analysis',
      'pipeline',
      'ports',
      'living',
      'instruments',
    ],
    packages: [],
  },
  simulation: { folders: ['base', 'units', 'physics', 'model'], packages: [] },
  instruments: { folders: ['base', 'units', 'physics', 'model'], packages: [] },
  exam: { folders: ['base', 'units', 'model'], packages: [] },
  photo: { folders: [], packages: [] },
  ingest: {
    folders: ['base', 'units', 'model', 'messages', 'ports'],
    packages: ['node', 'aedes', 'mqtt'],
  },
  store: { folders: ['base', 'model', 'ports'], packages: ['node'] },
  notify: { folders: ['base', 'model', 'ports'], packages: ['node', 'mqtt', 'nodemailer'] },
  access: {
    folders: ['base', 'ports'],
    packages: ['node', 'reflect-metadata', '@peculiar/x509'],
  },
  paper: { folders: ['report'], packages: ['node', 'pdfkit'] },
  server: {
    folders: ['base', 'model', 'ports', 'living', 'alarms', 'wellfile', 'book', 'guided', 'photo'],
    packages: ['node', 'fastify', '@fastify/swagger', 'typebox'],
  },
  cli: {
    folders: [
      'base',
      'units',
      'physics',
      'model',
      'wellfile',
      'messages',
      'analysis',
      'pipeline',
      'ports',
      'living',
      'report',
      'alarms',
      'book',
      'guided',
      'paper',
      'simulation',
      'instruments',
      'exam',
      'photo',
      'ingest',
      'store',
      'notify',
      'access',
      'server',
    ],
    packages: ['node', 'mqtt'],
  },
};

/** Folders that see the machine; all others are pure. */
const EDGES = ['ingest', 'store', 'notify', 'access', 'paper', 'server', 'cli'];

/** Stages of the analysis in the order of the stream: none imports a later one. */
const STAGES = [
  'signal',
  'calibration',
  'runs',
  'estimation',
  'owner-tests',
  'diagnosis',
  'alarms',
];

const sources = filesBelow('src').filter((path) => path.endsWith('.ts'));
const product = sources.filter((path) => !path.endsWith('.test.ts'));
const folderOf = (path: string) => path.split('/')[1] ?? '';
const pure = product.filter((path) => !EDGES.includes(folderOf(path)));
/** What a folder of page may import of page beside its words, and of src; ARCHITECTURE.md too. */
const PAGE_MAY_IMPORT: Record<string, { page: string[]; src: string[] }> = {
  data: { page: [], src: ['model', 'wellfile', 'analysis', 'living', 'alarms'] },
  parts: { page: ['data'], src: ['base', 'units', 'physics', 'model', 'report'] },
  drawing: { page: ['data', 'parts'], src: ['base', 'model', 'report'] },
  screens: {
    page: ['data', 'parts', 'drawing'],
    src: ['base', 'model', 'report', 'wellfile', 'alarms', 'guided', 'instruments'],
  },
};
const pageSources = filesBelow('page').filter((path) => /\.tsx?$/.test(path));

const scripts = ['test', 'bench', 'scripts']
  .flatMap((folder) => filesBelow(folder))
  .filter((path) => /\.(ts|mjs)$/.test(path));

/** Where an import of a file leads: a path from the root, or a package. */
const target = (path: string, name: string) =>
  name.startsWith('.') ? posix.join(posix.dirname(path), name) : name;
const packageOf = (name: string) => {
  if (name.startsWith('node:')) return 'node';
  return name.split('/', name.startsWith('@') ? 2 : 1).join('/');
};

describe('the scan', () => {
  it('sees every form of import, and none in comments', () => {
    const source = [
      "import one from './one.ts';",
      'import {',
      '  type A,',
      '  b,',
      "} from './two.ts';",
      "export * from './three.ts';",
      "export { c } from './four.ts';",
      "export type { D } from './five.ts';",
      "import './six.ts';",
      "const late = await import('./seven.ts');",
      "type E = import('./eight.ts').E;",
      'const computed = await import(name);',
      "// import './nine.ts';",
      "/* import x from './ten.ts'; */",
      "const text = '// not a comment'; import './eleven.ts';",
      "import * as twelve from './twelve.ts' with { type: 'json' };",
    ].join('\n');
    const names = 'one two three four five twelve six eleven seven eight'.split(' ');
    expect(importsOf(source)).toEqual([...names.map((name) => `./${name}.ts`), '<computed>']);
  });
  it('drops comments and quoted text, keeps code', () => {
    const code = codeOf("const a = 'Date.now()'; // Date.now()\nlate(`$" + '{Date.now()}`);');
    expect(code.match(/Date\.now/g)).toHaveLength(1);
  });
  it('measures functions', () => {
    const body = Array.from({ length: 80 }, () => '  work();').join('\n');
    const source = [
      `export function long() {\n${body}\n}`,
      'const short = (a: number) => a + 1;',
      `const arrow = (a: number) => {\n${body}\n};`,
      'const split = (a: number) =>\n  a + 1;',
      `class A {\n  method(a: number): void {\n    if (a) {\n      work();\n    }\n  }\n}`,
      `function spread({\n  a,\n  b,\n}: Options) {\n${body}\n}`,
    ].join('\n\n');
    expect(functionsOf(source).map((f) => f.lines)).toEqual([82, 1, 82, 2, 5, 85]);
  });
});

describe('imports', () => {
  it('of src go the way the table says', () => {
    let looked = 0;
    for (const path of product) {
      const folder = folderOf(path);
      const allowed = MAY_IMPORT[folder];
      expect(allowed, `${path}: folder ${folder} stands in the table`).toBeDefined();
      for (const name of importsOf(textOf(path))) {
        looked++;
        const to = target(path, name);
        const at = `${path} imports ${name}`;
        if (!name.startsWith('.')) expect(allowed?.packages, at).toContain(packageOf(name));
        else {
          expect(to, at).toMatch(/^src\/.*\.(ts|json)$/);
          expect([folder, ...(allowed?.folders ?? [])], at).toContain(folderOf(to));
        }
      }
    }
    expect(looked).toBeGreaterThan(100);
  });
  it('of the analysis never reach a later stage', () => {
    let looked = 0;
    const stageOf = (path: string) => STAGES.indexOf(path.split('/')[2] ?? '');
    for (const path of product.filter((p) => stageOf(p) >= 0 && folderOf(p) === 'analysis')) {
      for (const name of importsOf(textOf(path)).filter((n) => n.startsWith('.'))) {
        const to = target(path, name);
        if (folderOf(to) !== 'analysis') continue;
        looked++;
        expect(stageOf(to), `${path} imports ${name}`).toBeLessThanOrEqual(stageOf(path));
      }
    }
    expect(looked).toBeGreaterThan(5);
  });
  it('of page go the way its table says: only pure folders of src, and preact', () => {
    let looked = 0;
    for (const path of pageSources.filter((one) => !one.endsWith('.test.ts'))) {
      const folder = folderOf(path);
      const allowed = PAGE_MAY_IMPORT[folder];
      // The files beside the folders join them.
      if (allowed === undefined) continue;
      for (const name of importsOf(textOf(path))) {
        looked++;
        const at = `${path} imports ${name}`;
        if (!name.startsWith('.')) expect(name, at).toMatch(/^preact(\/hooks)?$/);
        else if (target(path, name) !== 'page/words.ts') {
          const [root = '', to = ''] = target(path, name).split('/');
          const may = root === 'src' ? allowed.src : [folder, ...allowed.page];
          expect(['src', 'page'], at).toContain(root);
          expect(may, at).toContain(to);
        }
      }
    }
    expect(looked).toBeGreaterThan(100);
    for (const folder of Object.values(PAGE_MAY_IMPORT).flatMap((may) => may.src))
      expect(EDGES).not.toContain(folder);
  });
  it('of page stand in ARCHITECTURE.md as they are held here', () => {
    const list = (text = '') => [...text.matchAll(/`([\w/-]+)`/g)].map((m) => m[1] ?? '');
    const rows = [...textOf('ARCHITECTURE.md').matchAll(/^\| `page\/(\w+)` +\|(.*)\|$/gm)];
    const printed = rows.map(([, folder, cells = '']) => {
      const [, page, src] = cells.split('|');
      return [folder, { page: list(page), src: list(src) }];
    });
    expect(printed).toEqual(Object.entries(PAGE_MAY_IMPORT));
  });
  it('stand in ARCHITECTURE.md as they are held here', () => {
    const rows = [...textOf('ARCHITECTURE.md').matchAll(/^\| `src\/(\w+)` +\|(.*)\|$/gm)];
    const printed = rows.map(([, folder, cells = '']) => {
      const [, may = '', packages = ''] = cells.split('|');
      const list = (text: string) => [...text.matchAll(/`([@\w/-]+)`/g)].map((m) => m[1] ?? '');
      const folders = may.trim() === 'all of them' ? MAY_IMPORT.cli?.folders : list(may);
      return [folder, { folders, packages: list(packages) }];
    });
    expect(printed).toEqual(Object.entries(MAY_IMPORT));
  });
});

describe('pure folders', () => {
  const BANNED: [RegExp, string][] = [
    [/\bDate\.now\b|\bnew\s+Date\s*(?:\(\s*\)|[;,)\]}])|(?<!new\s)(?<!\.)\bDate\s*\(/, 'the clock'],
    [/\bperformance\.|\bTemporal\.Now\b/, 'the clock'],
    [/\bMath\.random\b|\bcrypto\./, 'randomness'],
    [/\bconsole\./, 'the console'],
    [/\bprocess\.(?:argv|env|exit|cwd|on|std\w+|hrtime|nextTick)\b|\bBuffer\.|__dirname/, 'Node'],
    [/\brequire\s*\(|\bimport\.meta\b|\bglobalThis\b/, 'Node'],
    [/\bset(?:Timeout|Interval|Immediate)\s*\(|\bqueueMicrotask\b|\bfetch\s*\(/, 'the outside'],
  ];
  it('see no clock, no randomness, no Node, no console', () => {
    expect(pure.length).toBeGreaterThan(50);
    for (const path of pure) {
      const code = codeOf(textOf(path));
      for (const [banned, what] of BANNED) expect(code, `${path} uses ${what}`).not.toMatch(banned);
    }
  });
  it('are searched for what is banned', () => {
    const bad = ['Date.now()', 'new Date()', 'new Date', 'Date()', 'Math.random()'];
    const worse = ['console.log(1)', 'process.env.HOME', 'import.meta.url', 'setTimeout(f, 1)'];
    for (const piece of [...bad, ...worse])
      expect(
        BANNED.some(([banned]) => banned.test(`x = ${piece};`)),
        piece,
      ).toBe(true);
    for (const fine of ['x = new Date(timeS * 1000);', 'Date.UTC(2026, 0)', 'process.step()'])
      expect(
        BANNED.some(([banned]) => banned.test(fine)),
        fine,
      ).toBe(false);
  });
});

describe('sizes', () => {
  const all = [...sources, ...pageSources, ...scripts];
  // One file to copy to the board is worth more than three short ones.
  const whole = ['device/main.py'];
  it('of the device: lines 100 columns', () => {
    for (const path of whole)
      for (const line of textOf(path).split('\n'))
        expect(line.length, path).toBeLessThanOrEqual(100);
  });
  it('files hold 500 lines at most, lines 100 columns', () => {
    expect(all.length).toBeGreaterThan(80);
    for (const path of all) {
      const lines = textOf(path).split('\n');
      expect(lines.length, path).toBeLessThanOrEqual(501);
      lines.forEach((line, i) => {
        expect([...line].length, `${path}:${i + 1}`).toBeLessThanOrEqual(100);
      });
    }
  });
  it('functions hold 70 lines at most', () => {
    let looked = 0;
    for (const path of [...product, ...pageSources]) {
      for (const { line, lines } of functionsOf(textOf(path))) {
        looked++;
        expect(lines, `${path}:${line}`).toBeLessThanOrEqual(70);
      }
    }
    expect(looked).toBeGreaterThan(200);
  });
});

describe('names and words', () => {
  const folders = ['src', 'page', 'test', 'bench', 'scripts', 'docs', 'demo', 'device'];
  const everything = folders.flatMap((folder) => filesBelow(folder));
  const texts = [
    ...everything.filter((path) =>
      /\.(ts|tsx|css|html|svg|mjs|js|json|md|toml|csv|txt|py)$/.test(path),
    ),
    ...['README.md', 'ARCHITECTURE.md', 'CONTRIBUTING.md', 'CHANGELOG.md', 'package.json'],
    ...['biome.json', 'tsconfig.json', '.ci/run', 'wellwright', '.gitignore', '.npmrc'],
  ];
  it('files are named in kebab case', () => {
    expect(everything.length).toBeGreaterThan(80);
    for (const path of everything) {
      for (const part of path.split('/'))
        expect(part, path).toMatch(/^[a-z0-9]+(-[a-z0-9]+)*(\.[a-z0-9]+(-[a-z0-9]+)*)*$/);
    }
  });
  it('nothing is left for later, and no test is left out', () => {
    // Put together here so that this file does not hold them.
    const marks = ['TO' + 'DO', 'FIX' + 'ME', 'XX' + 'X'].map(
      (mark) => new RegExp(`\\b${mark}\\b`),
    );
    const left = [/\b(?:it|test|describe)\.(?:only|skip|todo)\b/, ...marks];
    expect(texts.length).toBeGreaterThan(90);
    for (const path of texts) {
      const text = textOf(path);
      for (const mark of left) expect(mark.exec(text)?.[0], path).toBeUndefined();
    }
  });
  it('no path or word of the machine it was written on', () => {
    const words = [
      '/wo' + 'rk/',
      '/.lib' + 'rary',
      '/sha' + 'red/',
      'seed ' + 'document',
      '/ro' + 'ot/',
    ];
    const kept = [...texts, 'package-lock.json'];
    for (const path of kept) {
      const text = textOf(path).toLowerCase();
      for (const word of words) expect(text.includes(word), `${path}: ${word}`).toBe(false);
    }
    expect(kept.length).toBeGreaterThan(90);
  });
});
