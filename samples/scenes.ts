import { createHash } from 'node:crypto'
import { access } from 'node:fs/promises'
import { fileURLToPath } from 'node:url'
import { renderClip } from './generator/clip.ts'
import { clipName } from './generator/encode.ts'
import type { Scene } from './generator/scene.ts'
import { followingScenes } from './scenes/following.ts'
import { geometryScenes } from './scenes/geometry.ts'
import { timeScenes } from './scenes/time.ts'

/** Every test scene: rendered on demand, kept in the cache, never stored with the sources. */
export const testScenes: readonly Scene[] = [...geometryScenes, ...timeScenes, ...followingScenes]

const underway = new Map<string, Promise<{ clip: string; truth: string }>>()

/** Renders a test scene into `.cache/scenes/` unless it is there already; gives the paths of its clip and truth.
 *  Throws when no scene has this name or native ffmpeg cannot be run. */
export function ensureScene(
  name: string,
  options: { readonly again?: boolean } = {},
): Promise<{ clip: string; truth: string }> {
  const running = underway.get(name)
  if (running) return running
  const work = make(name, options.again ?? false).finally(() => underway.delete(name))
  underway.set(name, work)
  return work
}

async function make(name: string, again: boolean): Promise<{ clip: string; truth: string }> {
  const scene = testScenes.find((one) => one.name === name)
  if (!scene) throw new Error(`no test scene is called ${name}`)
  const folder = fileURLToPath(new URL(`../.cache/scenes/${keyOf(scene)}/`, import.meta.url))
  const clip = `${folder}${clipName(scene)}`
  const truth = `${folder}${name}.truth.json`
  if (again || !(await isThere(clip)) || !(await isThere(truth))) await renderClip(scene, clip, truth)
  return { clip, truth }
}

/** Raised when the renderer draws the same scene differently, so that clips in the cache are made anew. */
const rendererVersion = 1

const keyOf = (scene: Scene): string =>
  createHash('sha256')
    .update(JSON.stringify([rendererVersion, scene]))
    .digest('hex')
    .slice(0, 12)

const isThere = (path: string): Promise<boolean> =>
  access(path).then(
    () => true,
    () => false,
  )
