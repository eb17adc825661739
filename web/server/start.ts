/** `npm start`: builds the page when it is not built or older than its sources, serves it on a free port, prints the addresses. */
import { createReadStream, existsSync, readdirSync, statSync } from 'node:fs'
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http'
import { extname, join, normalize, sep } from 'node:path'
import { build } from 'vite'
import { isolationHeaders, policy } from './headers.ts'

const root = new URL('../..', import.meta.url).pathname
const site = join(root, 'dist/web')
const firstPort = 4170
const portsTried = 40

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

/** Time of the last change anywhere below a folder [ms]. */
function newestIn(folder: string): number {
  return Math.max(
    0,
    ...readdirSync(folder, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile() && entry.name !== 'third-party.txt')
      .map((entry) => statSync(join(entry.parentPath, entry.name)).mtimeMs),
  )
}

function isBuilt(): boolean {
  const page = join(site, 'index.html')
  if (!existsSync(page)) return false
  const sources = ['web', 'workers', 'samples'].map((name) => join(root, name)).filter(existsSync)
  return statSync(page).mtimeMs > Math.max(statSync(join(root, 'package-lock.json')).mtimeMs, ...sources.map(newestIn))
}

function serve(request: IncomingMessage, response: ServerResponse): void {
  for (const [name, value] of Object.entries(isolationHeaders)) response.setHeader(name, value)
  response.setHeader('Content-Security-Policy', `${policy}; frame-ancestors 'none'`)
  response.setHeader('X-Content-Type-Options', 'nosniff')
  response.setHeader('Referrer-Policy', 'no-referrer')
  if (request.method !== 'GET' && request.method !== 'HEAD') return end(response, 405)
  let file: string
  try {
    const path = decodeURIComponent(new URL(request.url ?? '/', 'http://localhost').pathname)
    file = normalize(join(site, path.endsWith('/') ? `${path}index.html` : path))
  } catch {
    return end(response, 400)
  }
  if (!file.startsWith(site + sep) || !existsSync(file) || !statSync(file).isFile()) return end(response, 404)
  response.setHeader('Content-Type', types[extname(file)] ?? 'application/octet-stream')
  response.setHeader('Content-Length', statSync(file).size)
  // Names with a hash never change; the rest is asked for again.
  response.setHeader('Cache-Control', /\/assets\//.test(file) ? 'public, max-age=31536000, immutable' : 'no-cache')
  if (request.method === 'HEAD') {
    response.end()
    return
  }
  createReadStream(file)
    .on('error', () => response.destroy())
    .pipe(response)
}

function end(response: ServerResponse, status: number): void {
  response.statusCode = status
  response.setHeader('Content-Type', 'text/plain; charset=utf-8')
  response.end(status === 404 ? 'Not here.' : 'Not understood.')
}

/** Listens on the wished port (PORT), else on the first free one. */
function listen(port: number, last: number): Promise<number> {
  return new Promise((resolve, reject) => {
    const server = createServer(serve)
    server.once('error', (cause: NodeJS.ErrnoException) => {
      if (cause.code === 'EADDRINUSE' && port < last) resolve(listen(port + 1, last))
      else reject(cause)
    })
    server.listen(port, '127.0.0.1', () => resolve(port))
  })
}

if (!isBuilt()) {
  process.stdout.write('Building the page …\n')
  await build({ configFile: join(root, 'web/vite.config.ts'), logLevel: 'warn' })
}
const wished = Number(process.env['PORT'] ?? 0)
const port = wished > 0 ? await listen(wished, wished) : await listen(firstPort, firstPort + portsTried)
process.stdout.write(`
Slowlane     http://localhost:${port}/
The demo     http://localhost:${port}/?demo

Nothing leaves this machine. Ctrl+C ends it.
`)
