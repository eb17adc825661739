import { createReadStream, statSync } from 'node:fs'
import { createServer, type ServerResponse } from 'node:http'
import { extname, join, normalize } from 'node:path'

const types: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.json': 'application/json',
  '.webmanifest': 'application/manifest+json',
  '.wasm': 'application/wasm',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.mp4': 'video/mp4',
}

export interface StaticServer {
  /** Address without a slash at the end, e.g. `http://127.0.0.1:41234`. */
  readonly address: string
  close(): Promise<void>
}

/** Serves folders over HTTP on a free port of this machine, as any static host would.
 *  `mounts` maps a path prefix to a folder, the longest prefix wins; `isolated` adds the two headers that let pages share
 *  memory between threads. */
export async function serveStatic(options: {
  readonly mounts: Readonly<Record<string, string>>
  readonly isolated: boolean
  readonly port?: number
}): Promise<StaticServer> {
  const prefixes = Object.keys(options.mounts).sort((a, b) => b.length - a.length)
  const server = createServer((request, response) => {
    const path = decodeURIComponent(new URL(request.url ?? '/', 'http://localhost').pathname)
    if (options.isolated) {
      response.setHeader('Cross-Origin-Opener-Policy', 'same-origin')
      response.setHeader('Cross-Origin-Embedder-Policy', 'require-corp')
    }
    const prefix = prefixes.find((candidate) => path.startsWith(candidate))
    const folder = prefix === undefined ? undefined : options.mounts[prefix]
    if (prefix === undefined || folder === undefined) return notFound(response)
    const rest = normalize(path.slice(prefix.length)).replace(/^(\.\.[/\\])+/, '')
    send(response, join(folder, rest))
  })
  await new Promise<void>((resolve) => server.listen(options.port ?? 0, '127.0.0.1', resolve))
  const bound = server.address()
  const port = typeof bound === 'object' && bound !== null ? bound.port : 0
  return {
    address: `http://127.0.0.1:${port}`,
    close: async () => {
      server.closeAllConnections()
      await new Promise<void>((resolve) => server.close(() => resolve()))
    },
  }
}

function send(response: ServerResponse, path: string): void {
  let file = path
  try {
    if (statSync(file).isDirectory()) file = join(file, 'index.html')
    const { size } = statSync(file)
    response.setHeader('Content-Type', types[extname(file)] ?? 'application/octet-stream')
    response.setHeader('Content-Length', size)
    createReadStream(file).pipe(response)
  } catch {
    notFound(response)
  }
}

function notFound(response: ServerResponse): void {
  response.statusCode = 404
  response.end('not found')
}
