import { defineConfig } from 'vitest/config';

export default defineConfig({
  // Node takes the one that libraries share; the bundler would take another copy of it.
  resolve: { alias: { graphql: import.meta.resolve('graphql').replace('file://', '') } },
  test: {
    globalSetup: ['tests/helpers/global-setup.ts'],
    include: ['tests/**/*.long.test.ts'],
    testTimeout: 1_800_000,
    hookTimeout: 300_000,
    fileParallelism: false,
  },
});
