import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/live/**/*.test.ts', 'tests/unit/**/*.test.ts', 'tests/reference/**/*.test.ts'],
    environment: 'node',
    // By itself vitest leaves a core free, which is one of two where this is checked.
    maxWorkers: '100%',
    // A bound for what hangs, not for speed: a machine that is shared takes several times as long.
    testTimeout: 180_000,
    hookTimeout: 180_000,
  },
});
