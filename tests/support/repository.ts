import { mkdirSync } from 'node:fs'
import { join } from 'node:path'

/** Root of the repository, with a slash at the end. */
export const repository = new URL('../..', import.meta.url).pathname

/** A folder under `.cache/`, which git ignores: for clips, built pages and other things that can be made again. */
export function cacheFolder(name: string): string {
  const folder = join(repository, '.cache', name)
  mkdirSync(folder, { recursive: true })
  return folder
}
