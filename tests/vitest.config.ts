import { defineConfig } from 'vitest/config';

export default defineConfig({
  // Node takes the one that libraries share; the bundler would take another copy of it.
  resolve: { alias: { graphql: import.meta.resolve('graphql').replace('file://', '') } },
  test: {
    globalSetup: ['tests/helpers/global-setup.ts'],
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/**/*.long.test.ts'],
    testTimeout: 90_000,
    hookTimeout: 120_000,
  },
});
