import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/webkit/**/*.test.ts'],
    environment: 'node',
    // A bound for what hangs, not for speed.
    testTimeout: 120_000,
    hookTimeout: 120_000,
  },
});
