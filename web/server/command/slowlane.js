#!/usr/bin/env node
/** The package's `bin`: starts the command, which is written in TypeScript like everything else. */
let tsx
try {
  tsx = await import('tsx/esm/api')
} catch (cause) {
  process.stderr.write(
    `The packages of Slowlane are not all installed (${cause.message}). Run “npm ci” in its folder first.\n`,
  )
  process.exit(4)
}
tsx.register()
const { main } = await import('./main.ts')
process.exitCode = await main(process.argv.slice(2))
