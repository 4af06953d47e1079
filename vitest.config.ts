import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/live/**/*.test.ts', 'tests/unit/**/*.test.ts', 'tests/reference/**/*.test.ts'],
    environment: 'node',
  },
});
