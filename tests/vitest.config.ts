import { configDefaults, defineConfig } from 'vitest/config'
import { longRun } from './support/long-run.ts'

const root = new URL('..', import.meta.url).pathname

export default defineConfig({
  root,
  test: {
    include: ['tests/unit/**/*.test.{ts,tsx}', 'tests/reference/**/*.test.ts'],
    // Rendering and reading these scenes takes a minute and a half: in the long run.
    exclude: [...configDefaults.exclude, ...(longRun ? [] : ['tests/reference/measure-time-scenes.test.ts'])],
    environment: 'node',
    // A hang is caught, a slow machine is not: no test passes or fails by the clock.
    testTimeout: 180_000,
    maxWorkers: 2,
  },
})
