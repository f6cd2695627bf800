// Makes a fresh clone ready and runs one of the project's jobs. It runs on the
// Node that npm came with (20 or newer); everything it starts runs on the pinned
// runtime of the lock file. Steps already done are not done again.
import { spawn, spawnSync } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const at = (...parts) => join(root, ...parts);

/** Path of the Node that runs the project: the pinned one, else a system Node of 24 or newer. */
function runtime() {
  const binary = process.platform === 'win32' ? 'node.exe' : 'bin/node';
  const os = process.platform === 'win32' ? 'win' : process.platform;
  const pinned = at('node_modules', `node-${os}-${process.arch}`, binary);
  if (existsSync(pinned)) return pinned;
  if (Number(process.versions.node.split('.')[0]) >= 24) return process.execPath;
  throw new Error(
    `no pinned runtime for ${os}-${process.arch}: install Node 24 or newer and try again ` +
      `(this is Node ${process.versions.node})`,
  );
}

function run(command, args, options = {}) {
  const result = spawnSync(command, args, { cwd: root, stdio: 'inherit', ...options });
  if (result.error) throw result.error;
  return result.status ?? 1;
}

/**
 * How little the runtime lets rubbish gather before it is collected: 4 MB of what is new, and half
 * of what is in use. Its own choice is a hundred megabytes and more than a well needs, and is no
 * faster; docs/service.md has the figures.
 */
const SERVICE_FLAGS = ['--max-semi-space-size=4', '--heap-growing-percent=50'];
const SERVICES = ['watch', 'demo'];

/** Runs the tool, hands it the signals that end it, and resolves with its exit code. */
export function runTool(args) {
  const flags = SERVICES.includes(args[0]) ? SERVICE_FLAGS : [];
  const command = [...flags, at('dist', 'cli', 'main.js'), ...args];
  const child = spawn(runtime(), command, { stdio: 'inherit' });
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'])
    process.on(signal, () => child.kill(signal));
  return new Promise((resolve, reject) => {
    child.on('error', reject);
    child.on('exit', (code, signal) => resolve(signal ? 1 : (code ?? 1)));
  });
}

function must(what, status) {
  if (status !== 0) {
    process.stderr.write(`${what} failed (exit ${status})\n`);
    process.exit(status);
  }
}

const newest = (folder) => {
  let latest = 0;
  for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true }))
    if (entry.isFile())
      latest = Math.max(latest, statSync(join(entry.parentPath ?? entry.path, entry.name)).mtimeMs);
  return latest;
};

/** Installs what the lock file names, when it is not there. Progress goes to stderr. */
export function install() {
  const stamp = at('node_modules', '.package-lock.json');
  if (existsSync(stamp) && statSync(stamp).mtimeMs >= statSync(at('package-lock.json')).mtimeMs)
    return;
  process.stderr.write('wellwright: installing what the lock file names, once\n');
  const npm = process.platform === 'win32' ? 'npm.cmd' : 'npm';
  const shell = process.platform === 'win32';
  must('npm ci', run(npm, ['ci', '--no-audit', '--no-fund'], { stdio: ['ignore', 2, 2], shell }));
}

/** Compiles src to dist, when src is newer. */
export function build() {
  const made = at('dist', 'cli', 'main.js');
  const inputs = Math.max(newest(at('src')), statSync(at('tsconfig.build.json')).mtimeMs);
  if (existsSync(made) && statSync(made).mtimeMs >= inputs) return;
  must('the build', tool('typescript/bin/tsc', ['-p', 'tsconfig.build.json'], ['ignore', 2, 2]));
  // tsc leaves an unchanged output untouched only in incremental builds: the stamp is the entry.
}

/** Bundles page to dist/page, when it or what it may import of src is newer. */
export function buildPage() {
  const made = at('dist', 'page', 'index.html');
  const inputs = Math.max(newest(at('page')), newest(at('src')));
  if (existsSync(made) && statSync(made).mtimeMs >= inputs) return;
  const quiet = ['build', '--config', 'page/vite.config.ts', '--logLevel', 'warn'];
  must('the build of the page', tool('vite/bin/vite.js', quiet, ['ignore', 2, 2]));
}

/** Runs a script of an installed package on the pinned runtime. */
function tool(script, args, stdio = 'inherit') {
  return run(runtime(), [at('node_modules', script), ...args], { stdio });
}

const jobs = {
  start(args) {
    build();
    buildPage();
    return runTool(['demo', ...args]);
  },
  build() {
    build();
    buildPage();
    return 0;
  },
  test(args) {
    build();
    buildPage();
    return tool('vitest/vitest.mjs', ['run', ...args]);
  },
  lint() {
    must('the types', tool('typescript/bin/tsc', ['-p', 'tsconfig.json']));
    must('the types of the pure folders', tool('typescript/bin/tsc', ['-p', 'tsconfig.pure.json']));
    for (const config of ['tsconfig.json', 'tsconfig.worker.json', 'tsconfig.test.json'])
      must('the types of the page', tool('typescript/bin/tsc', ['-p', `page/${config}`]));
    must('biome', tool('@biomejs/biome/bin/biome', ['check', '.']));
    must('knip', tool('knip/bin/knip.js', []));
    return 0;
  },
};

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const [job, ...args] = process.argv.slice(2);
  if (!Object.hasOwn(jobs, job ?? '')) {
    process.stderr.write(`ready: expected one of ${Object.keys(jobs).join(', ')}, found ${job}\n`);
    process.exit(2);
  }
  install();
  process.exit(await jobs[job](args));
}
