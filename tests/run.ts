/**
 * Runs every test: `npm test` (long counts a seeded tenth), `npm run test:long` (all of them).
 * As root on Debian it installs, announced, what the browser tests need; otherwise it runs what it can, says the one line that
 * installs the rest, and ends non-zero. The last line is `N passed, N failed`.
 */
import { spawn, spawnSync } from 'node:child_process'
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs'
import { join } from 'node:path'

const root = new URL('..', import.meta.url).pathname
const long = process.argv.includes('--long')

interface Need {
  readonly what: string
  readonly debian: readonly string[]
  readonly there: () => boolean
}

const onPath = (program: string): boolean =>
  spawnSync('sh', ['-c', `command -v ${program}`], { stdio: 'ignore' }).status === 0

const needs: readonly Need[] = [
  {
    what: 'Chromium, in which the browser tests run',
    debian: ['chromium', 'fonts-dejavu-core'],
    there: () => Boolean(process.env['CHROMIUM'] && existsSync(process.env['CHROMIUM'])) || onPath('chromium'),
  },
  {
    what: 'ffmpeg, the reference that our decoding is compared with and that makes test clips',
    debian: ['ffmpeg'],
    there: () => onPath('ffmpeg') && onPath('ffprobe'),
  },
]

/** Installs what is missing when that is possible; true when everything is there. */
function provide(): boolean {
  const missing = needs.filter((need) => !need.there())
  if (missing.length === 0) return true
  const packages = missing.flatMap((need) => need.debian).join(' ')
  for (const need of missing) console.log(`missing: ${need.what}`)
  const line = `apt-get update && apt-get install -y --no-install-recommends ${packages}`
  if (process.getuid?.() !== 0 || !onPath('apt-get')) {
    console.log(`Browser tests are left out. To install what they need:  sudo sh -c '${line}'`)
    return false
  }
  console.log(`installing from Debian: ${packages}`)
  spawnSync('sh', ['-c', line], {
    stdio: ['ignore', 'ignore', 'inherit'],
    env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
  })
  const still = needs.filter((need) => !need.there())
  for (const need of still)
    console.log(`could not be installed: ${need.what}. The line that should do it:  sudo sh -c '${line}'`)
  return still.length === 0
}

interface Count {
  passed: number
  failed: number
}

/** Runs one vitest configuration; a run that ends without a report, or with no test at all, counts as one failure. */
async function vitest(name: string, config: string): Promise<Count> {
  const reportFile = join(root, '.cache', `report-${name}.json`)
  mkdirSync(join(root, '.cache'), { recursive: true })
  rmSync(reportFile, { force: true })
  console.log(`\n── ${name} ──`)
  const run = spawn(
    process.execPath,
    [
      join(root, 'node_modules/vitest/vitest.mjs'),
      'run',
      '-c',
      join(root, config),
      '--reporter=default',
      '--reporter=json',
      `--outputFile.json=${reportFile}`,
    ],
    { cwd: root, stdio: 'inherit', env: { ...process.env, ...(long ? { LONG: '1' } : {}) } },
  )
  const status = await new Promise<number>((resolve) => run.once('close', (code) => resolve(code ?? 1)))
  if (!existsSync(reportFile)) return { passed: 0, failed: 1 }
  const report = JSON.parse(readFileSync(reportFile, 'utf8')) as {
    numPassedTests: number
    numFailedTests: number
    numTotalTests: number
  }
  const broken = status !== 0 && report.numFailedTests === 0 ? 1 : 0
  return { passed: report.numPassedTests, failed: report.numTotalTests === 0 ? 1 : report.numFailedTests + broken }
}

const complete = provide()
const counts = [await vitest('unit-and-reference', 'tests/vitest.config.ts')]
if (complete) counts.push(await vitest('browser', 'tests/vitest.browser.config.ts'))

const passed = counts.reduce((sum, count) => sum + count.passed, 0)
const failed = counts.reduce((sum, count) => sum + count.failed, 0)
console.log(`\n${passed} passed, ${failed} failed`)
if (!complete) console.log('The browser tests did not run, so this is not a pass.')
process.exitCode = failed > 0 || !complete ? 1 : 0
