import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { extname, join } from 'node:path'
import type { Plugin } from 'vite'

const folder = new URL('../../samples', import.meta.url).pathname

/** What of samples/ reaches the page: clips and demo records; truth files and generator stay behind. */
const kinds: Readonly<Record<string, string>> = {
  '.mp4': 'video/mp4',
  '.mov': 'video/quicktime',
  '.webm': 'video/webm',
  '.mkv': 'video/x-matroska',
  '.avi': 'video/x-msvideo',
  '.zip': 'application/zip',
}

function shown(): { address: string; file: string; type: string }[] {
  const clips = join(folder, 'clips')
  const of = (dir: string, address: string, pick: (name: string) => string | undefined) =>
    existsSync(dir)
      ? readdirSync(dir).flatMap((name) => {
          const type = pick(name)
          return type ? [{ address: `${address}/${name}`, file: join(dir, name), type }] : []
        })
      : []
  return [
    ...of(clips, 'samples/clips', (name) => kinds[extname(name)]),
    ...of(folder, 'samples', (name) => (/^demo.*\.json$/.test(name) ? 'application/json' : undefined)),
  ]
}

/** Serves the demo under /samples/ while developing and copies it into the build. */
export function samples(): Plugin {
  return {
    name: 'slowlane:samples',
    configureServer(server) {
      server.middlewares.use((request, response, next) => {
        const path = decodeURIComponent((request.url ?? '').replace(/[?#].*$/, '').slice(1))
        const found = path.startsWith('samples/') ? shown().find(({ address }) => address === path) : undefined
        if (!found) {
          next()
          return
        }
        response.setHeader('Content-Type', found.type)
        response.end(readFileSync(found.file))
      })
    },
    generateBundle() {
      for (const { address, file } of shown())
        this.emitFile({ type: 'asset', fileName: address, source: readFileSync(file) })
    },
  }
}
