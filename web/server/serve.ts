import { createReadStream, existsSync, statSync } from 'node:fs'
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http'
import { extname, join, normalize, sep } from 'node:path'
import { isolationHeaders, policy } from './headers.ts'

const types: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.json': 'application/json; charset=utf-8',
  '.map': 'application/json; charset=utf-8',
  '.webmanifest': 'application/manifest+json; charset=utf-8',
  '.txt': 'text/plain; charset=utf-8',
  '.wasm': 'application/wasm',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.mp4': 'video/mp4',
  '.mov': 'video/quicktime',
  '.webm': 'video/webm',
  '.mkv': 'video/x-matroska',
  '.avi': 'video/x-msvideo',
  '.zip': 'application/zip',
}

/** Serves a folder on this machine only, with the headers of `headers.ts`. Rejects with the cause when the port is taken. */
export function serveSite(folder: string, port: number): Promise<Server> {
  return new Promise((resolve, reject) => {
    const server = createServer((request, response) => answer(folder, request, response))
    server.once('error', reject)
    server.listen(port, '127.0.0.1', () => resolve(server))
  })
}

/** Port a server listens on. */
export function portOf(server: Server): number {
  const address = server.address()
  if (typeof address !== 'object' || address === null) throw new Error('the server does not listen on a port')
  return address.port
}

function answer(folder: string, request: IncomingMessage, response: ServerResponse): void {
  for (const [name, value] of Object.entries(isolationHeaders)) response.setHeader(name, value)
  response.setHeader('Content-Security-Policy', `${policy}; frame-ancestors 'none'`)
  response.setHeader('X-Content-Type-Options', 'nosniff')
  response.setHeader('Referrer-Policy', 'no-referrer')
  if (request.method !== 'GET' && request.method !== 'HEAD') return end(response, 405)
  let file: string
  try {
    const path = decodeURIComponent(new URL(request.url ?? '/', 'http://localhost').pathname)
    file = normalize(join(folder, path.endsWith('/') ? `${path}index.html` : path))
  } catch {
    return end(response, 400)
  }
  if (!file.startsWith(folder + sep) || !existsSync(file) || !statSync(file).isFile()) return end(response, 404)
  response.setHeader('Content-Type', types[extname(file)] ?? 'application/octet-stream')
  response.setHeader('Content-Length', statSync(file).size)
  // Names with a hash never change; the rest is asked for again.
  response.setHeader(
    'Cache-Control',
    file.includes(`${sep}assets${sep}`) ? 'public, max-age=31536000, immutable' : 'no-cache',
  )
  if (request.method === 'HEAD') {
    response.end()
    return
  }
  createReadStream(file)
    .on('error', () => response.destroy())
    .pipe(response)
}

function end(response: ServerResponse, status: 400 | 404 | 405): void {
  response.statusCode = status
  response.setHeader('Content-Type', 'text/plain; charset=utf-8')
  response.end(status === 404 ? 'Not here.' : 'Not understood.')
}
