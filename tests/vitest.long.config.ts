import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    globalSetup: ['tests/helpers/global-setup.ts'],
    include: ['tests/**/*.long.test.ts'],
    testTimeout: 1_800_000,
    hookTimeout: 300_000,
    fileParallelism: false,
  },
});
