import { join } from 'node:path'
import { build } from 'vite'
import { cacheFolder, repository } from './repository.ts'

/** Bundles a small page of `tests/browser/pages/NAME` as the tool itself is bundled, and returns the folder to serve.
 *  `define` sets build flags such as `import.meta.env.VITE_WITHOUT_FFMPEG`. */
export async function buildPage(name: string, define: Readonly<Record<string, string>> = {}): Promise<string> {
  const suffix = Object.keys(define).length === 0 ? '' : `-${Object.values(define).join('-').replace(/\W/g, '')}`
  const outDir = join(cacheFolder('pages'), `${name}${suffix}`)
  await build({
    configFile: false,
    root: join(repository, 'tests/browser/pages', name),
    base: './',
    logLevel: 'warn',
    define: { ...define },
    cacheDir: cacheFolder('vite'),
    worker: { format: 'es' },
    build: {
      outDir,
      emptyOutDir: true,
      target: 'es2023',
      minify: false,
      chunkSizeWarningLimit: 100_000,
      reportCompressedSize: false,
    },
  })
  return outDir
}
