import { readFileSync } from 'node:fs'
import { runCommand } from './command.ts'

const packageFile = new URL('../../../package.json', import.meta.url)

/** The command on this machine's own streams and clock. Resolves with the exit code. */
export async function main(words: readonly string[]): Promise<number> {
  // Who reads the output may have seen enough: `slowlane results … | head`.
  process.stdout.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code !== 'EPIPE') throw error
    process.exit(0)
  })
  const { version } = JSON.parse(readFileSync(packageFile, 'utf8')) as { version: string }
  return await runCommand(words, {
    out: (text) => void process.stdout.write(text),
    complain: (text) => void process.stderr.write(text),
    version,
    now: () => new Date().toISOString(),
  })
}
