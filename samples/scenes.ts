import { createHash } from 'node:crypto'
import { access } from 'node:fs/promises'
import { fileURLToPath } from 'node:url'
import { renderClip } from './generator/clip.ts'
import { clipName } from './generator/encode.ts'
import type { Scene } from './generator/scene.ts'
import { followingScenes } from './scenes/following.ts'
import { geometryScenes } from './scenes/geometry.ts'
import { timeScenes } from './scenes/time.ts'

/** Every test scene. Most are stored as they were rendered, so that a fresh checkout need not draw them; one that is not, or that
 *  was changed since, is rendered on demand and kept in the cache. */
export const testScenes: readonly Scene[] = [...geometryScenes, ...timeScenes, ...followingScenes]

export interface SceneFiles {
  readonly clip: string
  readonly truth: string
}

const underway = new Map<string, Promise<SceneFiles>>()

/** Clip and truth of a test scene: those stored with the tests, else those in `.cache/scenes/`, rendered now unless they are there
 *  already (`again`: rendered now whatever is there). Throws when no scene has this name or native ffmpeg cannot be run. */
export function ensureScene(name: string, options: { readonly again?: boolean } = {}): Promise<SceneFiles> {
  const running = underway.get(name)
  if (running) return running
  const work = make(name, options.again ?? false).finally(() => underway.delete(name))
  underway.set(name, work)
  return work
}

async function make(name: string, again: boolean): Promise<SceneFiles> {
  const scene = testScenes.find((one) => one.name === name)
  if (!scene) throw new Error(`no test scene is called ${name}`)
  const stored = filesOf(scene, storedScenes)
  if (!again && (await areThere(stored))) return stored
  const files = filesOf(scene, cachedScenes)
  if (again || !(await areThere(files))) await renderClip(scene, files.clip, files.truth)
  return files
}

const storedScenes = new URL('../tests/data/scenes/', import.meta.url)
const cachedScenes = new URL('../.cache/scenes/', import.meta.url)

/** The folder carries the scene's key: a scene that was changed is another one. */
function filesOf(scene: Scene, at: URL): SceneFiles {
  const folder = fileURLToPath(new URL(`${scene.name}-${keyOf(scene)}/`, at))
  return { clip: `${folder}${clipName(scene)}`, truth: `${folder}${scene.name}.truth.json` }
}

const areThere = async (files: SceneFiles): Promise<boolean> =>
  (await isThere(files.clip)) && (await isThere(files.truth))

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
