import { defineConfig } from 'vitest/config'

const root = new URL('..', import.meta.url).pathname

export default defineConfig({
  root,
  test: {
    include: ['tests/unit/**/*.test.{ts,tsx}', 'tests/reference/**/*.test.ts'],
    environment: 'node',
    testTimeout: 30_000,
    maxWorkers: 2,
  },
})
