import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { text } from 'node:stream/consumers';

export interface Measured {
  wallS: number;
  /** Processor time, user and system: what other work on the machine disturbs less. */
  cpuS: number;
  peakMb: number;
  stdout: string;
}

const TIME = '/usr/bin/time';
const TASKSET = '/usr/bin/taskset';

/** What this machine cannot hold or measure; the bench needs both. */
export function missingTools(): string[] {
  return [TIME, TASKSET].filter((tool) => !existsSync(tool));
}

/**
 * Runs a shell line on one core to its end. Memory is the largest resident set of any one process
 * of the line, times are of all of them together (GNU time).
 */
export async function measure(shellLine: string, folder: string): Promise<Measured> {
  const report = join(folder, 'time.txt');
  const args = ['-c', '0', TIME, '-o', report, '-f', '%e %U %S %M', 'sh', '-c', shellLine];
  const child = spawn(TASKSET, args, { stdio: ['ignore', 'pipe', 'inherit'] });
  const [stdout, [code]] = await Promise.all([text(child.stdout), once(child, 'exit')]);
  if (code !== 0) throw new Error(`exit ${code}: ${shellLine}`);
  const [wallS, userS, systemS, peakKb] = readFileSync(report, 'utf8')
    .trim()
    .split(' ')
    .map(Number);
  return { wallS: wallS!, cpuS: userS! + systemS!, peakMb: peakKb! / 1024, stdout };
}

/** The middle value; of an even number the lower of the two. */
export function median(values: number[]): number {
  return values.toSorted((a, b) => a - b)[(values.length - 1) >> 1] ?? Number.NaN;
}
