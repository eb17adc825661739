import { ballLook } from './ball-look.ts'
import type { Camera } from './camera.ts'
import { spread, windowLight, type LitScenery } from './light.ts'
import { outlineOf } from './outline.ts'
import type { Passage } from './passages.ts'
import { developer, newDevelopment, restore, type Development } from './sensor.ts'
import type { Scene } from './scene.ts'
import { lightLeft, shadowReach } from './shadow.ts'
import { sampleColourAt, samples, sampleX, sampleY, type Still } from './still.ts'
import { along, subtract, unit, type Vec3 } from './vector.ts'
import { windowAround, type PixelWindow } from './window.ts'

/** Order in which the samples of a pixel look at the exposure: unrelated to their place (ranks in base 3). */
const order = Array.from({ length: samples }, (_, i) => i).sort((a, b) => spread(a + 1, 3) - spread(b + 1, 3))
const sampleRank = Int32Array.from({ length: samples }, (_, i) => order.indexOf(i))

/** How fast the soft edge of a shadow widens with the distance from the ball, slant included. */
const penumbra = 0.42

/** What the film saw of one ball in one frame. */
export interface Glimpse {
  readonly passage: Passage
  /** Share of the ball's disc that nothing hides, and that posts hide. */
  readonly seen: number
  readonly post: number
}

/** Something else that moves: paints into the light of a frame and says which pixels it touched. */
export interface Mover {
  paint(light: Float32Array, time_s: number): PixelWindow | null
}

/** Films the balls in front of the still picture, frame by frame. */
export function filmer(
  scene: Scene,
  camera: Camera,
  scenery: LitScenery,
  still: Still,
  all: readonly Passage[],
  movers: readonly Mover[] = [],
): { shoot(time_s: number): { picture: Development; light: Float32Array; glimpses: Glimpse[] } } {
  const { width, height } = scene.image
  const develop = developer(width, height, scene.sensor)
  const whole: PixelWindow = { left: 0, top: 0, right: width, bottom: height }
  const empty = newDevelopment(width, height)
  develop(still.colour, whole, empty)
  const picture = newDevelopment(width, height)
  restore(empty, whole, width, picture)
  const light = still.colour.slice()
  const touched = new Uint8Array(width * height)
  let dirty: PixelWindow[] = []

  const clean = (): void => {
    for (const area of dirty) {
      restore(empty, area, width, picture)
      for (let y = area.top; y < area.bottom; y++) {
        const from = y * width + area.left
        const to = y * width + area.right
        light.set(still.colour.subarray(from * 3, to * 3), from * 3)
        touched.fill(0, from, to)
      }
    }
    dirty = []
  }

  return {
    shoot(time_s) {
      clean()
      const here = all.filter((passage) => passage.present(rowTime(scene, camera, passage, time_s)))
      for (const passage of here) {
        const pose = passage.pose(rowTime(scene, camera, passage, time_s))
        dirty.push(...castShadow(scene, camera, scenery, still, light, pose))
      }
      const glimpses = here
        // Far balls first, so that near ones cover them.
        .map((passage) => ({ passage, depth: camera.toCamera(passage.pose(time_s).centre)[2] }))
        .sort((a, b) => b.depth - a.depth)
        .map(({ passage }) => {
          const { area, ...glimpse } = paintBall(scene, camera, scenery, still, light, touched, passage, time_s)
          if (area) dirty.push(area)
          return glimpse
        })
      for (const mover of movers) {
        const area = mover.paint(light, time_s)
        if (area) dirty.push(area)
      }
      for (const area of dirty) develop(light, area, picture)
      return { picture, light, glimpses }
    },
  }
}

/** How long after the first row a place in the picture is exposed. */
export function rowDelay(scene: Scene, x: number, y: number): number {
  const { rows_run, line_time_s } = scene.time
  switch (rows_run) {
    case '+x':
      return x * line_time_s
    case '-x':
      return (scene.image.width - x) * line_time_s
    case '+y':
      return y * line_time_s
    case '-y':
      return (scene.image.height - y) * line_time_s
  }
}

/** Mid-exposure of the sensor row on which the ball's centre lies, when the first row's is `time_s`. */
export function rowTime(scene: Scene, camera: Camera, passage: Passage, time_s: number): number {
  if (scene.time.line_time_s === 0) return time_s
  let time = time_s
  for (let i = 0; i < 12; i++) {
    const [x, y] = camera.project(passage.pose(time).centre)
    time = time_s + rowDelay(scene, x, y)
  }
  return time
}

function castShadow(
  scene: Scene,
  camera: Camera,
  scenery: LitScenery,
  still: Still,
  light: Float32Array,
  pose: { readonly centre: Vec3; readonly radius: number },
): PixelWindow[] {
  const { width, height } = still
  const { centre, radius } = pose
  const ball = outlineOf(camera, centre, radius)
  // Where the middle of the shadow falls on the wall.
  const ray = unit(subtract(centre, windowLight.position))
  const onWall = along(centre, ray, (scene.furniture.wall_y_m - centre[1]) / ray[1])
  const fall = outlineOf(camera, onWall, radius + penumbra * (scene.furniture.wall_y_m - centre[1]))
  const areas: PixelWindow[] = []
  const reach = shadowReach * ball.radius
  const boxes = [
    { left: ball.x - reach, right: ball.x + reach, top: ball.y - 1.2 * ball.radius, bottom: ball.y + reach },
    {
      left: fall.x - fall.radius,
      right: fall.x + fall.radius,
      top: fall.y - fall.radius,
      bottom: fall.y + fall.radius,
    },
  ]
  const [near, wall] = boxes.map((box) => windowAround(box, 2, width, height))
  for (const area of [near, wall]) {
    if (!area) continue
    areas.push(area)
    for (let y = area.top; y < area.bottom; y++) {
      for (let x = area.left; x < area.right; x++) {
        // A pixel inside both windows is darkened once.
        if (area === wall && near && x >= near.left && x < near.right && y >= near.top && y < near.bottom) continue
        const pixel = y * width + x
        const facet = still.facet[pixel]!
        if (facet < 0) continue
        const p = pixel * 3
        const left = lightLeft(
          still.position[p]!,
          still.position[p + 1]!,
          still.position[p + 2]!,
          scenery.normals[facet]!,
          still.windowShare[pixel]!,
          centre[0],
          centre[1],
          centre[2],
          radius,
        )
        if (left >= 1) continue
        for (let c = 0; c < 3; c++) light[p + c] = light[p + c]! * left
      }
    }
  }
  return areas
}

function paintBall(
  scene: Scene,
  camera: Camera,
  scenery: LitScenery,
  still: Still,
  light: Float32Array,
  touched: Uint8Array,
  passage: Passage,
  time_s: number,
): Glimpse & { area: PixelWindow | null } {
  const { width, height } = still
  const { exposure_s, line_time_s } = scene.time
  const middle = rowTime(scene, camera, passage, time_s)
  const pose = passage.pose(middle)
  const start = outlineOf(camera, passage.pose(middle - exposure_s / 2).centre, pose.radius)
  const end = outlineOf(camera, passage.pose(middle + exposure_s / 2).centre, pose.radius)
  const smear = Math.hypot(end.x - start.x, end.y - start.y)
  const area = windowAround(
    {
      left: Math.min(start.x - start.radius, end.x - end.radius),
      right: Math.max(start.x + start.radius, end.x + end.radius),
      top: Math.min(start.y - start.radius, end.y - end.radius),
      bottom: Math.max(start.y + start.radius, end.y + end.radius),
    },
    // Rows exposed later see the ball a little farther on.
    4 + 2 * line_time_s * smear,
    width,
    height,
  )
  if (!area) return { passage, seen: 0, post: 0, area }
  // Enough moments that the smear has no steps.
  const moments = Math.max(1, Math.ceil(smear / 1.5))
  const steps = moments * samples
  const looks: { look: ReturnType<typeof ballLook>; centre: Vec3 }[] = []
  for (let i = 0; i < steps; i++) {
    const at = passage.pose(middle + ((i + 0.5) / steps - 0.5) * exposure_s)
    looks.push({ look: ballLook(at, scenery), centre: camera.toCamera(at.centre) })
  }
  const velocity = camera.toCamera(along(camera.position, pose.tangent, passage.motion.at(middle).v_m_s))
  const [right, down, forward] = camera.axes
  const [centreX, centreY] = camera.centre_px
  const radius = pose.radius
  const out = new Float64Array(3)
  let seen = 0
  let post = 0
  for (let y = area.top; y < area.bottom; y++) {
    for (let x = area.left; x < area.right; x++) {
      const pixel = y * width + x
      const later = line_time_s === 0 ? 0 : time_s + rowDelay(scene, x + 0.5, y + 0.5) - middle
      let covered = 0
      let red = 0
      let green = 0
      let blue = 0
      let oldRed = 0
      let oldGreen = 0
      let oldBlue = 0
      for (let i = 0; i < samples; i++) {
        let X = (x + sampleX[i]! - centreX) / camera.focal_px
        let Y = (y + sampleY[i]! - centreY) / camera.focal_px
        if (camera.k1 !== 0) [X, Y] = camera.unproject(x + sampleX[i]!, y + sampleY[i]!)
        const size = X * X + Y * Y + 1
        for (let m = 0; m < moments; m++) {
          const { look, centre } = looks[m * samples + sampleRank[i]!]!
          const cx = centre[0] + later * velocity[0]
          const cy = centre[1] + later * velocity[1]
          const cz = centre[2] + later * velocity[2]
          const b = X * cx + Y * cy + cz
          const root = b * b - size * (cx * cx + cy * cy + cz * cz - radius * radius)
          if (root < 0) continue
          const depth = (b - Math.sqrt(root)) / size
          const at = pixel * samples + i
          if (depth > still.depth[at]!) {
            if (still.post[at] === 1) post++
            continue
          }
          seen++
          covered++
          const nx = (X * depth - cx) / radius
          const ny = (Y * depth - cy) / radius
          const nz = (depth - cz) / radius
          const n: Vec3 = [
            nx * right[0] + ny * down[0] + nz * forward[0],
            nx * right[1] + ny * down[1] + nz * forward[1],
            nx * right[2] + ny * down[2] + nz * forward[2],
          ]
          const f = 1 / Math.sqrt(size)
          const view: Vec3 = [
            (X * right[0] + Y * down[0] + forward[0]) * f,
            (X * right[1] + Y * down[1] + forward[1]) * f,
            (X * right[2] + Y * down[2] + forward[2]) * f,
          ]
          look(n, view, out)
          red += out[0]!
          green += out[1]!
          blue += out[2]!
          oldRed += sampleColourAt(still, at * 3)
          oldGreen += sampleColourAt(still, at * 3 + 1)
          oldBlue += sampleColourAt(still, at * 3 + 2)
        }
      }
      if (covered === 0) continue
      const p = pixel * 3
      const share = covered / steps
      if (touched[pixel] === 1) {
        light[p] = light[p]! * (1 - share) + red / steps
        light[p + 1] = light[p + 1]! * (1 - share) + green / steps
        light[p + 2] = light[p + 2]! * (1 - share) + blue / steps
      } else {
        // What the covered samples showed before, in the shadow that now lies there, gives way to the ball.
        const shade = still.colour[p + 1]! > 0 ? light[p + 1]! / still.colour[p + 1]! : 1
        light[p] = Math.max(0, light[p]! - (shade * oldRed) / steps) + red / steps
        light[p + 1] = Math.max(0, light[p + 1]! - (shade * oldGreen) / steps) + green / steps
        light[p + 2] = Math.max(0, light[p + 2]! - (shade * oldBlue) / steps) + blue / steps
        touched[pixel] = 1
      }
    }
  }
  const outline = outlineOf(camera, pose.centre, radius)
  const disc = Math.PI * outline.radius ** 2 * steps
  return { passage, seen: Math.min(1, seen / disc), post: Math.min(1, post / disc), area }
}
