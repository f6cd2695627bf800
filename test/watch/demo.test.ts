import { existsSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { until } from './until.ts';
import { spawnWatch } from './watch-child.ts';

async function lastMs(look: string): Promise<number> {
  const now = (await (await fetch(look)).json()) as { lastReading: string | null };
  return Date.parse(now.lastReading ?? '1970-01-01');
}

describe('npm start', () => {
  it('has the demo well living within ten seconds, and leaves nothing behind', async () => {
    const began = performance.now();
    const { child: demo, written } = spawnWatch(['demo']);
    try {
      await until(() => /look .*\n/.test(written.out) && written.err.includes('HTTP port'));
      expect(performance.now() - began).toBeLessThan(10_000);
      const look = /look +(\S+)/.exec(written.out)![1]!;
      await until(async () => Date.now() - (await lastMs(look)) < 300_000);
      const [, file = ''] = /kept in (.*)\n/.exec(written.out) ?? [];
      expect(existsSync(file)).toBe(true);
      demo.kill('SIGINT');
      await until(() => demo.exitCode !== null);
      expect(demo.exitCode).toBe(0);
      expect(existsSync(file)).toBe(false);
    } finally {
      demo.kill('SIGKILL');
    }
  });
});
