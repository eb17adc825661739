import { readFileSync } from 'node:fs'
import { createServer } from 'node:http'
import { extname, join, normalize, sep } from 'node:path'
import { gzipSync } from 'node:zlib'
import { isolationHeaders } from '../../web/server/headers.ts'
import type { StaticServer } from './static-server.ts'

const types: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.json': 'application/json',
  '.webmanifest': 'application/manifest+json',
  '.svg': 'image/svg+xml',
}

/** Serves a folder as common static hosts do: text with gzip. `sent` counts the bytes of each body by its path. */
export async function serveCompressed(folder: string): Promise<StaticServer & { readonly sent: Map<string, number> }> {
  const sent = new Map<string, number>()
  const packed = new Map<string, Buffer>()
  const server = createServer((request, response) => {
    const { pathname } = new URL(request.url ?? '/', 'http://localhost')
    const file = normalize(join(folder, pathname.endsWith('/') ? `${pathname}index.html` : pathname))
    const type = types[extname(file)]
    try {
      if (!file.startsWith(folder + sep)) throw new Error('outside')
      let body = packed.get(file)
      if (!body) {
        body = type ? gzipSync(readFileSync(file)) : readFileSync(file)
        packed.set(file, body)
      }
      for (const [name, value] of Object.entries(isolationHeaders)) response.setHeader(name, value)
      if (type) response.setHeader('Content-Encoding', 'gzip')
      response.setHeader('Content-Type', type ?? 'application/octet-stream')
      response.setHeader('Content-Length', body.length)
      sent.set(pathname, body.length)
      response.end(body)
    } catch {
      response.statusCode = 404
      response.end()
    }
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  const bound = server.address()
  return {
    address: `http://localhost:${typeof bound === 'object' && bound !== null ? bound.port : 0}`,
    sent,
    close: async () => {
      server.closeAllConnections()
      await new Promise<void>((resolve) => server.close(() => resolve()))
    },
  }
}
