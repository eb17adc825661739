/** `npm start`: builds the page when it is not built or older than its sources, serves it on a free port, prints the addresses. */
import type { Server } from 'node:http'
import { builtSite } from './built.ts'
import { portOf, serveSite } from './serve.ts'

const firstPort = 4170
const portsTried = 40

/** The port that PORT names, else the first free one from 4170 on: the same as last time if it can be, so that kept records are found again. */
async function listen(folder: string): Promise<Server> {
  const wished = Number(process.env['PORT'] ?? 0)
  if (wished > 0) {
    try {
      return await serveSite(folder, wished)
    } catch (cause) {
      if (!taken(cause)) throw cause
      process.stderr.write(`Port ${wished} is in use. Name another in PORT, or leave it out.\n`)
      process.exit(1)
    }
  }
  for (let port = firstPort; port < firstPort + portsTried; port += 1) {
    try {
      return await serveSite(folder, port)
    } catch (cause) {
      if (!taken(cause)) throw cause
    }
  }
  return await serveSite(folder, 0)
}

const taken = (cause: unknown): boolean => cause instanceof Error && 'code' in cause && cause.code === 'EADDRINUSE'

const folder = await builtSite(() => process.stdout.write('Building the page …\n'))
const port = portOf(await listen(folder))
process.stdout.write(`
Slowlane     http://localhost:${port}/
The demo     http://localhost:${port}/?demo

Nothing leaves this machine. Ctrl+C ends it.
`)
