import path from 'node:path';
import { defineConfig } from 'vitest/config';

const top = path.resolve(import.meta.dirname, '..');

export default defineConfig({
  root: top,
  resolve: { alias: { '@': top, 'server-only': path.join(top, 'tests/empty.ts') } },
  test: {
    // with KILLS set, only the long form of the kills, against the built app too
    include: process.env.KILLS ? ['tests/store/kills.test.ts', 'tests/store/*.long.ts'] : ['tests/**/*.test.ts'],
    setupFiles: ['tests/propertySeed.ts'],
    testTimeout: 120_000,
    hookTimeout: 120_000,
    passWithNoTests: false,
  },
});
