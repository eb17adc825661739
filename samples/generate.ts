import { stat } from 'node:fs/promises'
import { fileURLToPath } from 'node:url'
import { demoScenes } from './demo.ts'
import { renderClip } from './generator/clip.ts'
import { clipName } from './generator/encode.ts'
import { ensureScene, testScenes } from './scenes.ts'

/** Renders the clips of the demo, or the scenes named on the command line. */
const names = process.argv.slice(2)
const wanted = names.length > 0 ? names : demoScenes.map(({ name }) => name)
const folder = fileURLToPath(new URL('clips/', import.meta.url))

for (const name of wanted) {
  const scene = demoScenes.find((one) => one.name === name)
  const started = performance.now()
  if (scene) {
    const clip = `${folder}${clipName(scene)}`
    await renderClip(scene, clip, `${folder}${name}.truth.json`)
    const { size } = await stat(clip)
    console.log(`${clip}  ${(size / 1e6).toFixed(2)} MB  ${((performance.now() - started) / 1000).toFixed(0)} s`)
  } else if (testScenes.some((one) => one.name === name)) {
    const { clip } = await ensureScene(name, { again: true })
    const { size } = await stat(clip)
    console.log(`${clip}  ${(size / 1e6).toFixed(2)} MB  ${((performance.now() - started) / 1000).toFixed(0)} s`)
  } else {
    console.error(
      `No scene is called ${name}. There are: ${[...demoScenes, ...testScenes].map((one) => one.name).join(', ')}`,
    )
    process.exitCode = 1
  }
}
