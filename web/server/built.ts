import { spawn } from 'node:child_process'
import { existsSync, readdirSync, statSync } from 'node:fs'
import { join } from 'node:path'

const root = new URL('../..', import.meta.url).pathname

/** Folder of the built page. */
export const site = join(root, 'dist/web')

/** Time of the last change anywhere below a folder [ms]. */
function newestIn(folder: string): number {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && entry.name !== 'third-party.txt')
    .reduce((newest, entry) => Math.max(newest, statSync(join(entry.parentPath, entry.name)).mtimeMs), 0)
}

/** Whether the page is built, and nothing it is made from is newer. */
export function isBuilt(): boolean {
  const page = join(site, 'index.html')
  if (!existsSync(page) || !existsSync(join(site, 'sw.js'))) return false
  const sources = ['web', 'workers', 'samples'].map((name) => join(root, name)).filter(existsSync)
  return statSync(page).mtimeMs > Math.max(statSync(join(root, 'package-lock.json')).mtimeMs, ...sources.map(newestIn))
}

/** Builds the page unless it stands already; returns its folder. Rejects when building fails. */
export async function builtSite(beforeBuilding: () => void = () => undefined): Promise<string> {
  if (isBuilt()) return site
  beforeBuilding()
  await build()
  return site
}

/** In a process of its own: who calls may run under NODE_ENV=test, and the page must not be built for that. */
function build(): Promise<void> {
  const vite = join(root, 'node_modules/vite/bin/vite.js')
  const child = spawn(process.execPath, [vite, 'build', '-c', join(root, 'web/vite.config.ts'), '--logLevel', 'warn'], {
    cwd: root,
    stdio: ['ignore', 'ignore', 'inherit'],
    env: { ...process.env, NODE_ENV: 'production' },
  })
  return new Promise((resolve, reject) => {
    child.once('error', reject)
    child.once('close', (code) => (code === 0 ? resolve() : reject(new Error(`building the page failed (${code})`))))
  })
}
