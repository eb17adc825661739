import { defineConfig } from 'vitest/config'

const root = new URL('..', import.meta.url).pathname

export default defineConfig({
  root,
  test: {
    include: ['tests/unit/**/*.test.{ts,tsx}', 'tests/reference/**/*.test.ts'],
    environment: 'node',
    // A hang is caught, a slow machine is not: no test passes or fails by the clock.
    testTimeout: 180_000,
    hookTimeout: 180_000,
    maxWorkers: 2,
  },
})
