import { execFileSync, spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { has } from '../support/mosquitto.ts';
import { tracedBy } from '../support/system-calls.ts';
import { until } from './until.ts';

const ROOT = join(import.meta.dirname, '..', '..');
const UNIT = readFileSync(join(ROOT, 'deploy', 'wellwright.service'), 'utf8');
const PLACE = '/opt/wellwright';

/** Names of system calls of a set, those of the sets in it as well. */
function callsOf(set: string): Set<string> {
  const text = execFileSync('systemd-analyze', ['syscall-filter', set], { encoding: 'utf8' });
  const lines = text.split('\n').slice(1);
  const names = lines.map((line) => line.trim()).filter((name) => /^@?[a-z]/.test(name));
  return new Set(names.flatMap((name) => (name.startsWith('@') ? [...callsOf(name)] : [name])));
}

if (has('systemd-analyze')) {
  describe('the unit for systemd', () => {
    it('is one, as its own program for that says', () => {
      const folder = mkdtempSync(join(tmpdir(), 'wellwright-unit-'));
      const copy = join(folder, 'wellwright.service');
      const verified = (text: string) => {
        writeFileSync(copy, text.replaceAll(PLACE, ROOT));
        return spawnSync('systemd-analyze', ['verify', copy], { encoding: 'utf8' });
      };
      expect(verified(UNIT)).toMatchObject({ status: 0, stdout: '', stderr: '' });
      expect(verified(UNIT.replace('Type=simple', 'Type=odd')).stderr).toContain('odd');
      rmSync(folder, { recursive: true });
    });

    it('keeps all that the service changes where it may write', () => {
      const [, folder] = /^StateDirectory=(\S+)$/m.exec(UNIT) ?? [];
      expect(`/var/lib/${folder}`).toBe(STATE);
      const named = argsOf(STATE).filter((arg) => arg.startsWith('/'));
      expect(named).toHaveLength(2);
      for (const path of named) expect(`${path}/`.startsWith(`${STATE}/`)).toBe(true);
    });

    it('starts the runtime as the launcher does, with little room for rubbish', () => {
      const launcher = readFileSync(join(ROOT, 'scripts', 'ready.mjs'), 'utf8');
      const flags = UNIT.match(/--[a-z-]+=\d+/g) ?? [];
      expect(flags).toHaveLength(2);
      expect(launcher).toContain(`['${flags.join("', '")}']`);
    });

    if (has('strace'))
      it('allows every system call that the service makes, from start to stop', async () => {
        const allowed = callsOf('@system-service');
        expect(UNIT).toContain('SystemCallFilter=@system-service\nSystemCallFilter=~@privileged');
        const denied = callsOf('@privileged');
        const used = await traced();
        expect(used.size).toBeGreaterThan(40);
        // SQLite gives a file to its owner only where it is run by root.
        if (process.getuid?.() === 0) used.delete('fchown');
        expect([...used].filter((name) => !allowed.has(name) || denied.has(name))).toEqual([]);
      });
  });
}

const STATE = '/var/lib/wellwright';

/** What the unit gives to the program, with another folder for what it keeps. */
function argsOf(state: string): string[] {
  const line = /ExecStart=(?:.*\\\n)*.*/.exec(UNIT)?.[0] ?? '';
  const [, args = ''] = /main\.js (.*)$/s.exec(line) ?? [];
  return args.split(/\s+/).map((arg) => arg.replace(STATE, state));
}

/**
 * System calls of a service that is started by the unit's own words in an empty folder: a well is
 * made, its file changed, a backup and a reading taken over HTTP, said what is known, and it stops.
 */
async function traced(): Promise<Set<string>> {
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-unit-'));
  const state = join(folder, 'state');
  mkdirSync(state);
  const trace = join(folder, 'trace');
  const child = spawn('strace', [
    ...['-f', '-qq', '-o', trace, process.execPath, join(ROOT, 'src', 'cli', 'main.ts')],
    ...[...argsOf(state), '--http', '0', '--mqtt', '0'],
  ]);
  let [out, log] = ['', ''];
  child.stdout.on('data', (piece) => {
    out += piece;
  });
  child.stderr.on('data', (piece) => {
    log += piece;
  });
  try {
    await until(() => log.includes('"up: '));
    const api = /http:\S+\/api\/v1/.exec(out)![0];
    const post = (path: string, body: object) =>
      fetch(`${api}/${path}`, {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify(body),
      });
    const text = 'name = "Barn"\n';
    expect((await post('wells', { text })).status).toBe(200);
    const keys = { 'pressure.range': '150 psi' };
    const told = await post('wells/barn/file-text/sensing', { by: 'Keeper', keys });
    expect(told.status).toBe(200);
    expect(readFileSync(join(state, 'barn.well.toml'), 'utf8')).toContain(`${text}\n[sensing`);
    expect((await post('backup', { by: 'Keeper' })).status).toBe(200);
    const headers = { 'content-type': 'application/senml+json' };
    const body = '[{"n":"pressure","u":"Pa","v":379000}]';
    const kept = await fetch(`${api}/wells/barn/readings`, { method: 'POST', headers, body });
    expect(kept.status).toBe(200);
    expect((await fetch(`${api}/wells/barn/now`)).status).toBe(200);
    process.kill(tracedBy(child.pid), 'SIGTERM');
    await once(child, 'exit');
    expect(log).toContain('"stopped"');
    const lines = readFileSync(trace, 'utf8').split('\n');
    const names = lines.map((line) => /^\d+ +([a-z0-9_]+)\(/.exec(line)?.[1]);
    return new Set(names.filter((name) => name !== undefined));
  } finally {
    child.kill('SIGKILL');
    rmSync(folder, { recursive: true });
  }
}
