import { mkdir, rename, rm, writeFile } from 'node:fs/promises'
import { basename, dirname, join } from 'node:path'
import { buildCamera, turned, type Camera } from './camera.ts'
import { startEncoder } from './encode.ts'
import { filmer, rowDelay, rowTime, type Mover } from './film.ts'
import { furnish } from './furnish.ts'
import { light, type LitScenery } from './light.ts'
import { lampMover, handMover } from './movers.ts'
import { passages, type Passage } from './passages.ts'
import { exposer, type Development } from './sensor.ts'
import type { Scene } from './scene.ts'
import { shakeTrack, steadyToShaken } from './shake.ts'
import { photograph, type Still } from './still.ts'
import { recordTruth } from './truth-record.ts'
import type { CompactTruth } from '../truth.ts'

/** A scene with everything worked out that does not change from frame to frame. */
export interface Set {
  readonly scene: Scene
  readonly camera: Camera
  readonly scenery: LitScenery
  readonly still: Still
  readonly passages: readonly Passage[]
  readonly movers: readonly Mover[]
}

export function buildSet(scene: Scene): Set {
  const camera = buildCamera(scene.camera, scene.image)
  const scenery = light(furnish(scene), camera.position)
  const still = photograph(scenery, camera, scene.image)
  const movers: Mover[] = []
  if (scene.furniture.lamp) movers.push(lampMover(scene, camera, scene.furniture.lamp))
  if (scene.furniture.hand) movers.push(handMover(scene, camera, still, scene.furniture.hand))
  return { scene, camera, scenery, still, passages: passages(scene), movers }
}

/** Light of a mains lamp averaged over an exposure: 1 + m cos(2πft), seen through a window of the exposure's length. */
export function lampGain(scene: Scene, time_s: number): number {
  const { flicker } = scene.sensor
  if (!flicker) return 1
  const half = Math.PI * flicker.rate_hz * scene.time.exposure_s
  return 1 + flicker.depth * (Math.sin(half) / half) * Math.cos(2 * Math.PI * flicker.rate_hz * time_s)
}

/** Plays the scene frame by frame: bytes of the picture (Y, U, V planes), in file order. Returns the truth. */
export async function play(set: Set, take: (frame: Uint8Array, index: number) => Promise<void>): Promise<CompactTruth> {
  const { scene, camera } = set
  const { width, height } = scene.image
  const { time } = scene
  const film = filmer(scene, camera, set.scenery, set.still, set.passages, set.movers)
  const expose = exposer(width, height, scene.sensor, scene.seed)
  const truth = recordTruth(scene, camera)
  const shake = scene.shake_rad === undefined ? null : shakeTrack(scene)
  const reshoot = shake === null ? null : steadyToShaken(scene, camera)
  const size = (width * height * 3) / 2
  const every = time.real_every ?? 1
  let before: Uint8Array | null = null
  for (let index = 0; index < time.frames; index++) {
    if (index % every !== 0) continue
    const t = index / time.capture_fps + time.exposure_s / 2
    const shot = film.shoot(t)
    const turn = shake?.[index]
    const eye = turn ? turned(camera, turn, scene.image) : camera
    const picture: Development = turn && reshoot ? reshoot(shot.light, eye) : shot.picture
    for (const { passage, seen, post } of shot.glimpses) {
      truth.note(index, rowTime(scene, camera, passage, t), passage, eye, seen, post)
    }
    const frame = new Uint8Array(size)
    const gainOfRow = (row: number): number => lampGain(scene, t + rowDelay(scene, 0, row))
    expose(picture, gainOfRow, frame)
    if (before) {
      for (let step = 1; step < every; step++) await take(blend(before, frame, step / every), index - every + step)
    }
    await take(frame, index)
    before = frame
  }
  return truth.finish()
}

/** A frame that was never filmed: its neighbours shown through one another. */
function blend(a: Uint8Array, b: Uint8Array, share: number): Uint8Array {
  return a.map((value, i) => Math.round(value + (b[i]! - value) * share))
}

/** Renders a scene into `clip` and its truth into `truth`. Both appear only when they are complete. */
export async function renderClip(scene: Scene, clip: string, truth: string): Promise<CompactTruth> {
  await mkdir(dirname(clip), { recursive: true })
  await mkdir(dirname(truth), { recursive: true })
  const unfinished = join(dirname(clip), `unfinished-${process.pid}-${basename(clip)}`)
  try {
    const set = buildSet(scene)
    const encoder = startEncoder(scene, unfinished)
    const result = await play(set, (frame) => encoder.write(frame))
    await encoder.close()
    await rename(unfinished, clip)
    await writeFile(`${unfinished}.json`, JSON.stringify(result))
    await rename(`${unfinished}.json`, truth)
    return result
  } finally {
    await rm(unfinished, { force: true })
  }
}
