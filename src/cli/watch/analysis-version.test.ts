import { appendFile, cp, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { analysisVersion } from './analysis-version.ts';

const SRC = join(import.meta.dirname, '..', '..');

it('is that of the code which analyses: tests do not count, one added line does', async () => {
  const folder = await mkdtemp(join(tmpdir(), 'wellwright-'));
  try {
    await cp(SRC, folder, { recursive: true });
    const version = await analysisVersion(SRC);
    expect(version).toMatch(/^[0-9a-f]{16}$/);
    expect(await analysisVersion(folder)).toBe(version);
    await appendFile(join(folder, 'pipeline', 'pipeline.test.ts'), '\n');
    await appendFile(join(folder, 'report', 'words.ts'), '\n');
    expect(await analysisVersion(folder)).toBe(version);
    await appendFile(join(folder, 'analysis', 'signal', 'order.ts'), '\n');
    expect(await analysisVersion(folder)).not.toBe(version);
  } finally {
    await rm(folder, { recursive: true });
  }
});
