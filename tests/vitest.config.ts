import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    globalSetup: ['tests/helpers/global-setup.ts'],
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/**/*.long.test.ts'],
    testTimeout: 30_000,
    hookTimeout: 120_000,
  },
});
