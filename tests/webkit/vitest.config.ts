import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/webkit/**/*.test.ts'],
    environment: 'node',
    // A limit for a test that hangs, not for speed.
    testTimeout: 120_000,
    hookTimeout: 120_000,
  },
});
