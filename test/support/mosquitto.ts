import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Debian keeps servers where a plain user does not look. */
const env = { ...process.env, PATH: `${process.env.PATH}:/usr/sbin` };

/** Whether a program is on this machine; says so where it is not. */
export function has(program: string): boolean {
  try {
    execFileSync('which', [program], { env, stdio: 'ignore' });
    return true;
  } catch {
    process.stderr.write(`${program} is not installed: what is tested with it is left out\n`);
    return false;
  }
}

async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address() as { port: number };
  await new Promise((resolve) => server.close(resolve));
  return port;
}

/** Debian's broker in a folder of its own. */
export async function openMosquitto(port?: number) {
  const at = port ?? (await freePort());
  const folder = mkdtempSync(join(tmpdir(), 'broker-'));
  const file = join(folder, 'broker.conf');
  writeFileSync(file, `listener ${at} 127.0.0.1\nallow_anonymous true\n`);
  const child: ChildProcess = spawn('mosquitto', ['-c', file], { env, stdio: 'ignore' });
  await listening(at);
  return {
    port: at,
    url: `mqtt://127.0.0.1:${at}`,
    close: async () => {
      if (child.exitCode === null) {
        const ended = once(child, 'exit');
        child.kill();
        await ended;
      }
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

async function listening(port: number): Promise<void> {
  const { connect } = await import('node:net');
  for (let tries = 0; tries < 200; tries++) {
    const socket = connect(port, '127.0.0.1');
    const open = await new Promise((resolve) => {
      socket.once('connect', () => resolve(true)).once('error', () => resolve(false));
    });
    socket.destroy();
    if (open) return;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  throw new Error(`no broker on port ${port}`);
}

/** Runs a program to its end; resolves with its exit code and what it wrote. */
export async function run(program: string, args: string[]): Promise<{ code: number; out: string }> {
  const child = spawn(program, args, { env, stdio: ['ignore', 'pipe', 'pipe'] });
  let out = '';
  child.stdout.on('data', (data) => {
    out += data;
  });
  child.stderr.on('data', (data) => {
    out += data;
  });
  const [code] = await once(child, 'close');
  return { code, out };
}
