import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer, type IncomingMessage } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { ROOT } from './support/source-scan.ts';

// The registry's own program asks; what answers here has the form that npm's pages on audits
// document: advisories by name, and what the registry says of a package.
let folder: string;
let severity: string | null;
const server = createServer((request, response) => {
  const json = (status: number, body: unknown) =>
    response.writeHead(status, { 'content-type': 'application/json' }).end(JSON.stringify(body));
  drained(request).then(() => {
    if (severity === null) return json(503, {});
    if (request.method === 'POST') {
      const weakness = { id: 1, url: 'https://x.example/1', title: 'it gives way', severity };
      return json(200, { soft: [{ ...weakness, vulnerable_versions: '<2.0.0' }] });
    }
    const version = { name: 'soft', version: '1.0.0', dist: { tarball: '', integrity: '' } };
    const versions = { '1.0.0': version };
    return json(200, { name: 'soft', 'dist-tags': { latest: '1.0.0' }, versions });
  });
});

async function drained(request: IncomingMessage): Promise<void> {
  for await (const _ of request);
}

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'audit-'));
  const of = { name: 'house', version: '1.0.0', dependencies: { soft: '1.0.0' } };
  const soft = { version: '1.0.0', resolved: 'https://x.example/soft.tgz', integrity: 'sha512-x' };
  writeFileSync(join(folder, 'package.json'), JSON.stringify(of));
  const packages = { '': of, 'node_modules/soft': soft };
  writeFileSync(
    join(folder, 'package-lock.json'),
    JSON.stringify({ ...of, lockfileVersion: 3, requires: true, packages }),
  );
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
});
afterEach(async () => {
  await new Promise((resolve) => server.close(resolve));
  rmSync(folder, { recursive: true });
});

async function audited(): Promise<{ code: number; out: string }> {
  const { port } = server.address() as { port: number };
  const child = spawn(process.execPath, [join(ROOT, 'scripts', 'audit.mjs')], {
    cwd: folder,
    env: {
      ...process.env,
      npm_config_registry: `http://127.0.0.1:${port}/`,
      // What was answered once is kept there.
      npm_config_cache: join(folder, `cache-${severity}`),
      npm_config_fetch_retries: '0',
    },
  });
  let out = '';
  child.stdout.on('data', (data) => {
    out += data;
  });
  const [code] = await once(child, 'close');
  return { code, out };
}

it('fails on what is known to be high, and on nothing less', async () => {
  severity = 'high';
  expect(await audited()).toMatchObject({ code: 1, out: expect.stringContaining('it gives way') });
  severity = 'moderate';
  const told = await audited();
  expect(told).toMatchObject({ code: 0, out: expect.stringContaining('moderate: soft') });
}, 20_000);

it('says so where there is no answer, and does not fail', async () => {
  severity = null;
  const told = await audited();
  expect(told).toMatchObject({ code: 0, out: expect.stringContaining('NOT audited') });
}, 20_000);
