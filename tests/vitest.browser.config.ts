import { defineConfig } from 'vitest/config'

const root = new URL('..', import.meta.url).pathname

/** Browser tests run in Node and drive Chromium; one file at a time, so that timings and memory mean something. */
export default defineConfig({
  root,
  test: {
    include: ['tests/browser/**/*.test.ts'],
    environment: 'node',
    fileParallelism: false,
    testTimeout: 120_000,
    hookTimeout: 180_000,
  },
})
