/**
 * How fast a log becomes a study, and how much memory that takes, beside the same log read and
 * cut into runs by awk at a fixed threshold, which is what somebody without this tool would do.
 *
 *   node bench/throughput.ts [--days 30] [--year] [--rounds 3]
 *
 * Both read the same plain CSV, one reading of pressure and one of current a second, one after
 * the other, several rounds in turn; medians and the ratio are printed. Build first (npm start).
 */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import {
  createWriteStream,
  existsSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';

const { values } = parseArgs({
  options: {
    days: { type: 'string', default: '30' },
    year: { type: 'boolean', default: false },
    rounds: { type: 'string', default: '3' },
  },
});
const days = values.year ? 365 : Number(values.days);
const rounds = Number(values.rounds);
const root = join(import.meta.dirname, '..');
const entry = join(root, 'dist', 'cli', 'main.js');
if (!existsSync(entry)) throw new Error('expected dist/cli/main.js: run npm start once, it builds');

/** A generator of its own, so that the log is the same every time. */
function generator(seed: number): () => number {
  let a = seed >>> 0;
  return () => {
    a = (Math.imul(a, 1664525) + 1013904223) >>> 0;
    return a / 4294967296;
  };
}

/** One well, a draw every hour or so, a run of about a minute when the tank is down. */
async function writeLog(path: string): Promise<number> {
  const random = generator(7);
  const out = createWriteStream(path);
  out.write('time,pressure [psi],current [A]\n');
  let inverse = 1 / 70;
  let on = false;
  let drawLeftS = 0;
  let block = '';
  const startS = Date.parse('2026-01-01T00:00:00Z') / 1000;
  const rows = days * 86_400;
  for (let i = 0; i < rows; i++) {
    if (drawLeftS === 0 && random() < 1 / 1800) drawLeftS = Math.floor(20 + 300 * random());
    const draw = drawLeftS > 0 ? 1.1e-5 : 0;
    if (drawLeftS > 0) drawLeftS -= 1;
    inverse += draw - (on ? 6.4e-5 : 0);
    const psi = 1 / inverse - 14.2;
    if (!on && psi < 40) on = true;
    else if (on && psi > 60) on = false;
    const noise = 0.06 * (random() + random() + random() - 1.5) * 2;
    const amps = on ? 7.9 + 0.1 * random() : 0.02 + 0.03 * random();
    block += `${startS + i},${(psi + noise).toFixed(2)},${amps.toFixed(2)}\n`;
    if (block.length > 1 << 18) {
      if (!out.write(block)) await once(out, 'drain');
      block = '';
    }
  }
  out.end(block);
  await once(out, 'close');
  return rows;
}

interface Measured {
  wallS: number;
  peakMb: number;
}

/** Runs a command to its end; its largest resident memory is read while it runs. */
function measure(command: string, args: string[]): Promise<Measured> {
  return new Promise((done, fail) => {
    const beganMs = performance.now();
    const child = spawn(command, args, { stdio: ['ignore', 'ignore', 'inherit'] });
    let peakKb = 0;
    const timer = setInterval(() => {
      try {
        const status = readFileSync(`/proc/${child.pid}/status`, 'utf8');
        peakKb = Math.max(peakKb, Number(/VmHWM:\s+(\d+)/.exec(status)?.[1] ?? 0));
      } catch {
        // Between its end and the event of it there is no process to look at.
      }
    }, 20);
    child.on('error', fail);
    child.on('exit', (code) => {
      clearInterval(timer);
      if (code !== 0) fail(new Error(`${command} ended with ${code}`));
      else done({ wallS: (performance.now() - beganMs) / 1000, peakMb: peakKb / 1024 });
    });
  });
}

const AWK = `-F, NR > 1 { on = $3 > 1
  if (on && !was) { n++; start = $1; low = $2 }
  if (on) { sum += $3; count++ }
  if (!on && was) printf "%s %s %s %s %.2f\\n", start, $1, low, $2, sum / count
  if (!on && was) { sum = 0; count = 0 }
  was = on }
  END { print n }`;

const median = (list: number[]): number => list.sort((a, b) => a - b)[list.length >> 1]!;

const folder = mkdtempSync(join(tmpdir(), 'wellwright-bench-'));
try {
  const log = join(folder, 'log.csv');
  const well = join(folder, 'well.toml');
  writeFileSync(well, 'name = "Bench"\n[tank]\nvolume = "44 gal"\nprecharge = "38 psi"\n');
  const rows = await writeLog(log);
  const megabytes = statSync(log).size / 2 ** 20;
  console.log(`${days} days, ${rows} rows, ${2 * rows} readings, ${megabytes.toFixed(0)} MB`);
  const ours: Measured[] = [];
  const theirs: Measured[] = [];
  for (let round = 0; round < rounds; round++) {
    ours.push(await measure(process.execPath, [entry, 'study', '--json', '--well', well, log]));
    theirs.push(await measure('awk', ['-F,', AWK.slice(4), log]));
  }
  const show = (name: string, list: Measured[]): number => {
    const wallS = median(list.map((m) => m.wallS));
    const peakMb = median(list.map((m) => m.peakMb));
    const speed = Math.round((2 * rows) / wallS);
    console.log(
      `${name}: ${wallS.toFixed(1)} s, ${speed} readings/s, peak ${peakMb.toFixed(0)} MB`,
    );
    return wallS;
  };
  const a = show('study', ours);
  const b = show('awk, runs by a fixed threshold', theirs);
  console.log(`ratio of time, study over awk: ${(a / b).toFixed(2)}`);
} finally {
  rmSync(folder, { recursive: true });
}
