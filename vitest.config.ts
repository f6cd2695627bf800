import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['src/**/*.test.ts', 'page/**/*.test.ts', 'test/**/*.test.ts'],
    testTimeout: 120_000,
    expect: { poll: { timeout: 15_000 } },
    passWithNoTests: false,
  },
});
