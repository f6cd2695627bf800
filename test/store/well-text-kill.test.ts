import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { afterAll, expect, it } from 'vitest';
import { WellTextFile } from '../../src/store/well-text-file.ts';

const folder = mkdtempSync(join(tmpdir(), 'wellwright-kill-'));
afterAll(() => rmSync(folder, { recursive: true }));

it('a kill at any moment leaves a whole text, the one or the other', async () => {
  const path = join(folder, 'well.toml');
  writeFileSync(path, 'name = "first"\n');
  for (let round = 0; round < 12; round++) {
    const writer = spawn(process.execPath, [
      join(import.meta.dirname, 'well-text-writer.ts'),
      path,
    ]);
    await once(writer.stdout, 'data');
    await sleep(7 * round);
    writer.kill('SIGKILL');
    await once(writer, 'exit');
    const [, letters = ''] = /^name = "(a+|b+)"\n$/.exec(readFileSync(path, 'utf8')) ?? [];
    expect(letters.length).toBe(200_000);
  }
  // What the last one was at is not in the way of the next.
  const file = new WellTextFile(path);
  await file.write('name = "last"\n', (await file.read()).hash);
  expect(readdirSync(folder)).toEqual(['well.toml']);
});
