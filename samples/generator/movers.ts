import type { Camera } from './camera.ts'
import type { Mover } from './film.ts'
import { groundLight, skyLight, windowOn } from './light.ts'
import { outlineOf } from './outline.ts'
import type { Furniture, Scene } from './scene.ts'
import { samples, sampleX, sampleY, type Still } from './still.ts'
import { add, dot, mix, subtract, unit, type Vec3 } from './vector.ts'
import { windowAround, type PixelWindow } from './window.ts'

/** Share of an exposure during which a lamp with equal on and off times is lit. */
export function litShare(rate_hz: number, time_s: number, exposure_s: number): number {
  const onUntil = (t: number): number => {
    const turns = t * rate_hz
    const whole = Math.floor(turns)
    return (whole * 0.5 + Math.min(0.5, turns - whole)) / rate_hz
  }
  return (onUntil(time_s + exposure_s / 2) - onUntil(time_s - exposure_s / 2)) / exposure_s
}

/** A small red lamp with a glow around it. */
export function lampMover(scene: Scene, camera: Camera, lamp: NonNullable<Furniture['lamp']>): Mover {
  const { x, y, radius } = outlineOf(camera, lamp.centre_m, lamp.radius_m)
  const { width, height } = scene.image
  const reach = 6 * radius
  const area = windowAround({ left: x - reach, right: x + reach, top: y - reach, bottom: y + reach }, 2, width, height)
  return {
    paint(light, time_s) {
      const lit = litShare(lamp.rate_hz, time_s, scene.time.exposure_s)
      if (!area) return null
      for (let py = area.top; py < area.bottom; py++) {
        for (let px = area.left; px < area.right; px++) {
          const d = Math.hypot(px + 0.5 - x, py + 0.5 - y) / radius
          const cover = Math.min(1, Math.max(0, (1 - d) * radius + 0.5))
          const glow = lit * 0.12 * Math.exp(-d * 0.9) * Math.min(1, Math.max(0, (6 - d) / 2))
          const p = (py * width + px) * 3
          const dome = 0.05 + 0.9 * lit
          light[p] = light[p]! * (1 - cover) + dome * cover + glow
          light[p + 1] = light[p + 1]! * (1 - cover) + dome * 0.16 * cover + glow * 0.2
          light[p + 2] = light[p + 2]! * (1 - cover) + dome * 0.1 * cover + glow * 0.12
        }
      }
      return area
    },
  }
}

interface Limb {
  readonly from: Vec3
  readonly to: Vec3
  readonly radius: number
  readonly colour: readonly [number, number, number]
}

const glove = [0.21, 0.2, 0.17] as const
const sleeve = [0.06, 0.085, 0.13] as const

/** A gloved hand with a sleeve, reaching down from above; `wrist` is where it starts. */
function hand(wrist: Vec3): Limb[] {
  const at = (x: number, y: number, z: number): Vec3 => add(wrist, [x, y, z])
  const limb = (from: Vec3, to: Vec3, radius: number, colour: Limb['colour']): Limb => ({ from, to, radius, colour })
  return [
    limb(at(-0.02, -0.03, 0.26), at(0, 0, 0.03), 0.034, sleeve),
    limb(at(0, 0, 0.03), at(0.004, 0, -0.03), 0.026, glove),
    limb(at(-0.016, 0, -0.03), at(-0.022, 0.004, -0.085), 0.0095, glove),
    limb(at(-0.002, -0.004, -0.034), at(-0.002, 0, -0.1), 0.0098, glove),
    limb(at(0.013, -0.002, -0.032), at(0.018, 0.002, -0.093), 0.0094, glove),
    limb(at(0.026, 0, -0.026), at(0.036, 0.004, -0.074), 0.0085, glove),
    limb(at(-0.022, -0.012, 0.0), at(-0.05, -0.018, -0.045), 0.0105, glove),
  ]
}

/** A hand that passes through the picture along a polyline, in front of or behind what stands there. */
export function handMover(scene: Scene, camera: Camera, still: Still, spec: NonNullable<Furniture['hand']>): Mover {
  const { width, height } = scene.image
  const wristAt = (time: number): Vec3 => {
    const f = ((time - spec.from_s) / (spec.to_s - spec.from_s)) * (spec.path_m.length - 1)
    const i = Math.min(spec.path_m.length - 2, Math.max(0, Math.floor(f)))
    return mix(spec.path_m[i]!, spec.path_m[i + 1]!, f - i)
  }
  return {
    paint(light, time_s) {
      if (time_s < spec.from_s || time_s > spec.to_s) return null
      const limbs = hand(wristAt(time_s)).map((limb) => ({
        ...limb,
        a: camera.toCamera(limb.from),
        b: camera.toCamera(limb.to),
      }))
      const ends = limbs.flatMap((limb) => [limb.from, limb.to].map((point) => outlineOf(camera, point, limb.radius)))
      const area = windowAround(
        {
          left: Math.min(...ends.map((end) => end.x - end.radius)),
          right: Math.max(...ends.map((end) => end.x + end.radius)),
          top: Math.min(...ends.map((end) => end.y - end.radius)),
          bottom: Math.max(...ends.map((end) => end.y + end.radius)),
        },
        3,
        width,
        height,
      )
      if (area) paintLimbs(camera, still, light, area, limbs)
      return area
    },
  }
}

function paintLimbs(
  camera: Camera,
  still: Still,
  light: Float32Array,
  area: PixelWindow,
  limbs: readonly (Limb & { readonly a: Vec3; readonly b: Vec3 })[],
): void {
  const [right, down, forward] = camera.axes
  for (let y = area.top; y < area.bottom; y++) {
    for (let x = area.left; x < area.right; x++) {
      const sum = [0, 0, 0]
      let covered = 0
      // Four of the samples are enough for a thing that nobody measures.
      for (let i = 1; i < samples; i += 4) {
        const [X, Y] = camera.unproject(x + sampleX[i]!, y + sampleY[i]!)
        let best = still.depth[(y * still.width + x) * samples + i]!
        let found: { limb: Limb; n: Vec3 } | null = null
        for (const limb of limbs) {
          const met = meetCapsule([X, Y, 1], limb.a, limb.b, limb.radius)
          if (met === null || met.depth >= best) continue
          best = met.depth
          found = { limb, n: met.n }
        }
        if (!found) continue
        covered++
        const [a, b, c] = found.n
        const n: Vec3 = [0, 1, 2].map((k) => a * right[k]! + b * down[k]! + c * forward[k]!) as unknown as Vec3
        const lit = windowOn(camera.position, n) * 0.6 + groundLight + (skyLight - groundLight) * (0.5 + 0.5 * n[2])
        for (let k = 0; k < 3; k++) sum[k]! += found.limb.colour[k]! * lit
      }
      if (covered === 0) continue
      const p = (y * still.width + x) * 3
      const share = covered / (samples / 4)
      for (let k = 0; k < 3; k++) light[p + k] = light[p + k]! * (1 - share) + sum[k]! / (samples / 4)
    }
  }
}

/** First meeting of a ray from the camera with a rounded bar, in camera axes. */
function meetCapsule(d: Vec3, a: Vec3, b: Vec3, radius: number): { depth: number; n: Vec3 } | null {
  const axis = subtract(b, a)
  const aa = dot(axis, axis)
  const ad = dot(axis, d)
  const ap = dot(axis, a)
  const A = aa * dot(d, d) - ad * ad
  const B = aa * dot(a, d) - ap * ad
  const C = aa * (dot(a, a) - radius * radius) - ap * ap
  const root = B * B - A * C
  if (root >= 0) {
    const t = (B - Math.sqrt(root)) / A
    const f = (t * ad - ap) / aa
    if (t > 0 && f >= 0 && f <= 1) {
      const foot: Vec3 = [a[0] + f * axis[0], a[1] + f * axis[1], a[2] + f * axis[2]]
      return { depth: t, n: unit(subtract([d[0] * t, d[1] * t, d[2] * t], foot)) }
    }
  }
  let nearest: { depth: number; n: Vec3 } | null = null
  for (const end of [a, b]) {
    const dd = dot(d, d)
    const e = dot(d, end)
    const inside = e * e - dd * (dot(end, end) - radius * radius)
    if (inside < 0) continue
    const t = (e - Math.sqrt(inside)) / dd
    if (t <= 0 || (nearest && nearest.depth <= t)) continue
    nearest = { depth: t, n: unit(subtract([d[0] * t, d[1] * t, d[2] * t], end)) }
  }
  return nearest
}
