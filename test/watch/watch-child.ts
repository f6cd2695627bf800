import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';

export const MAIN = new URL('../../src/cli/main.ts', import.meta.url).pathname;

/** The service as a process of its own. */
export interface Child {
  process: ChildProcess;
  ports: { http: number; mqtt: number };
  /** What it has written so far. */
  out(): string;
  err(): string;
  /** Asks it to end; resolves with its exit code. */
  stop(): Promise<number | null>;
  kill(): Promise<void>;
}

/** `under`: a program that runs it. */
export function spawnWatch(args: string[], under: string[] = []) {
  const [program = '', ...all] = [...under, process.execPath, MAIN, ...args];
  const child = spawn(program, all, { stdio: ['ignore', 'pipe', 'pipe'] });
  const written = { out: '', err: '' };
  child.stdout.on('data', (data) => {
    written.out += data;
  });
  child.stderr.on('data', (data) => {
    written.err += data;
  });
  return { child, written };
}

/** Starts it and waits until it says where it listens. */
export async function startWatch(args: string[], under: string[] = []): Promise<Child> {
  const { child, written } = spawnWatch(args, under);
  const ended = once(child, 'exit');
  let ports: { http: number; mqtt: number } | null = null;
  while (ports === null) {
    const up = /HTTP port (\d+), MQTT port (\d+|none)/.exec(written.err);
    if (up !== null) ports = { http: Number(up[1]), mqtt: Number(up[2]) };
    else if (child.exitCode !== null) throw new Error(`it ended: ${written.err}`);
    else await Promise.race([once(child.stderr!, 'data'), ended]);
  }
  const end = async (signal: NodeJS.Signals) => {
    if (child.exitCode === null && child.signalCode === null) child.kill(signal);
    await ended;
    return child.exitCode;
  };
  return {
    process: child,
    ports,
    out: () => written.out,
    err: () => written.err,
    stop: () => end('SIGTERM'),
    kill: async () => void (await end('SIGKILL')),
  };
}
