import { access } from 'node:fs/promises'
import { fileURLToPath } from 'node:url'
import { renderClip } from './generator/clip.ts'
import { clipName } from './generator/encode.ts'
import type { Scene } from './generator/scene.ts'

export const testScenes: readonly Scene[] = []

/** Renders a test scene into the cache unless it is there; gives the paths of its clip and truth. */
export async function ensureScene(
  name: string,
  options: { readonly again?: boolean } = {},
): Promise<{ clip: string; truth: string }> {
  const scene = testScenes.find((one) => one.name === name)
  if (!scene) throw new Error(`no test scene is called ${name}`)
  const folder = fileURLToPath(new URL('../.cache/scenes/', import.meta.url))
  const clip = `${folder}${clipName(scene)}`
  const truth = `${folder}${name}.truth.json`
  const there = await Promise.all(
    [clip, truth].map((path) =>
      access(path).then(
        () => true,
        () => false,
      ),
    ),
  )
  if (options.again === true || there.includes(false)) await renderClip(scene, clip, truth)
  return { clip, truth }
}
