import type { Camera } from './camera.ts'
import { developer, newDevelopment, type Development } from './sensor.ts'
import { seeded } from './random.ts'
import type { Scene } from './scene.ts'
import type { Vec3 } from './vector.ts'

/** Turn of a hand-held camera for every frame [rad]: slow wander and a tremor of 4–12 Hz, about three axes. */
export function shakeTrack(scene: Scene): Vec3[] {
  const size = scene.shake_rad ?? 0
  const random = seeded(scene.seed ^ 0x7a6e)
  const waves = [0, 1, 2].map(() =>
    [0.4, 1.1, 2.3, 4.7, 8.5, 11.3].map((rate, i) => ({
      rate: rate * (0.9 + 0.2 * random.next()),
      phase: 2 * Math.PI * random.next(),
      // Wander is large and slow, tremor small and fast; together their standard deviation is about 1.
      weight: [0.9, 0.8, 0.55, 0.35, 0.25, 0.15][i]!,
    })),
  )
  return Array.from({ length: scene.time.frames }, (_, frame) => {
    const t = frame / scene.time.capture_fps
    const [a, b, c] = waves.map((axis) =>
      axis.reduce((sum, { rate, phase, weight }) => sum + weight * Math.sin(2 * Math.PI * rate * t + phase), 0),
    )
    return [size * a!, size * b!, size * 0.6 * c!]
  })
}

/** Re-takes a steady picture as a turned camera would: turning about the pinhole needs no depth. Cubic interpolation
 *  (Catmull–Rom) in linear light, then the sensor as usual. */
export function steadyToShaken(scene: Scene, steady: Camera): (light: Float32Array, eye: Camera) => Development {
  const { width, height } = scene.image
  const develop = developer(width, height, scene.sensor)
  const moved = new Float32Array(width * height * 3)
  const picture = newDevelopment(width, height)
  const cubic = (f: number): [number, number, number, number] => [
    f * (-0.5 + f * (1 - 0.5 * f)),
    1 + f * f * (-2.5 + 1.5 * f),
    f * (0.5 + f * (2 - 1.5 * f)),
    f * f * (-0.5 + 0.5 * f),
  ]
  return (light, eye) => {
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const [X, Y] = eye.unproject(x + 0.5, y + 0.5)
        const world: Vec3 = [0, 1, 2].map(
          (i) => steady.position[i]! + X * eye.axes[0][i]! + Y * eye.axes[1][i]! + eye.axes[2][i]!,
        ) as unknown as Vec3
        const [sx, sy] = steady.project(world)
        const px = sx - 0.5
        const py = sy - 0.5
        const xi = Math.floor(px)
        const yi = Math.floor(py)
        const wx = cubic(px - xi)
        const wy = cubic(py - yi)
        for (let c = 0; c < 3; c++) {
          let sum = 0
          for (let j = 0; j < 4; j++) {
            const row = Math.min(height - 1, Math.max(0, yi - 1 + j)) * width
            let line = 0
            for (let i = 0; i < 4; i++) {
              line += wx[i]! * light[(row + Math.min(width - 1, Math.max(0, xi - 1 + i))) * 3 + c]!
            }
            sum += wy[j]! * line
          }
          moved[(y * width + x) * 3 + c] = Math.max(0, sum)
        }
      }
    }
    develop(moved, { left: 0, top: 0, right: width, bottom: height }, picture)
    return picture
  }
}
