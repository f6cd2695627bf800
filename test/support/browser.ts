import { existsSync } from 'node:fs';
import { type Browser, chromium } from 'playwright-core';

/** Where Debian and others put it; `CHROMIUM` names another. */
const PATHS = [process.env.CHROMIUM, '/usr/bin/chromium', '/usr/bin/chromium-browser'];

/** A browser of this machine; null where there is none. */
export const chromiumPath = (): string | null =>
  PATHS.find((path) => path !== undefined && existsSync(path)) ?? null;

export const openBrowser = (path: string, more: string[] = []): Promise<Browser> =>
  chromium.launch({
    executablePath: path,
    // As the superuser, in a container of a few megabytes of shared memory.
    args: ['--no-sandbox', '--disable-dev-shm-usage', '--disable-gpu', ...more],
  });
