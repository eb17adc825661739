import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import type { Figure } from './figure.ts'

// `npm run bench -- NAME`: runs tests/bench/NAME.ts and prints its figures, one a line. Fails when the bench fails.

const name = process.argv[2] ?? ''
const path = fileURLToPath(new URL(`./${name}.ts`, import.meta.url))
if (!/^[a-z0-9-]+$/.test(name) || !existsSync(path)) {
  console.error(`There is no bench “${name}”. Name one of the files in tests/bench, without .ts.`)
  process.exit(2)
}
try {
  const bench = (await import(path)) as { run?: () => Promise<Figure[]> }
  if (bench.run === undefined) throw new Error(`tests/bench/${name}.ts exports no run()`)
  const figures = await bench.run()
  if (figures.length === 0) throw new Error('the bench measured nothing')
  for (const { name: what, value, unit } of figures) {
    if (!Number.isFinite(value)) throw new Error(`${what} is ${value}`)
    console.log(`figure ${what} ${Number(value.toPrecision(4))} ${unit}`)
  }
  process.exit(0)
} catch (error) {
  console.error(error)
  process.exit(1)
}
