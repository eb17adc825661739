import { shapeAt, slopeAt, type EdgeShape } from './edge-shape.ts'
import type { EdgePixels } from './edge-pixels.ts'
import { quickselect, solveSymmetric, tukey } from './robust.ts'

/** Correction of an assumed circle from both sides of its outline at once, px. */
export interface CircleFit {
  readonly along: number
  readonly across: number
  readonly radius: number
  readonly misfit: number
}

const ITERATIONS = 6

/** Fits centre and radius together (used to learn a passage's radius and height over the line, where one frame's
 *  weakness along one direction is made good by many frames). Same model as one side's fit. */
export function fitCircle(
  sides: readonly EdgePixels[],
  radius: number,
  shape: EdgeShape,
  noise: number,
): CircleFit | undefined {
  let dx = 0
  let dy = 0
  let dr = 0
  let scale = 0
  for (let iteration = 0; iteration < ITERATIONS; iteration++) {
    const normal = new Float64Array(9)
    const right = new Float64Array(3)
    const errors: number[] = []
    for (const pixels of sides) {
      const { along, across, value, empty, rowStart, rowCount, work } = pixels
      const { weight, alpha, reach, error } = work
      for (let row = 0; row < rowCount; row++) {
        const from = rowStart[row]!
        const to = rowStart[row + 1]!
        let aa = 0
        let ab = 0
        let bb = 1e-3
        let ay = 0
        let by = 0
        let used = 0
        for (let i = from; i < to; i++) {
          const d = radius + dr - Math.hypot(along[i]! - dx, across[i]! - dy)
          reach[i] = d
          let w = Math.abs(d) >= 3.2 ? 0 : Math.abs(d) <= 2.2 ? 1 : 3.2 - Math.abs(d)
          if (iteration > 0 && w > 0) w *= tukey(error[i]!, 4.685 * scale)
          weight[i] = w
          if (w === 0) continue
          used++
          const a = shapeAt(shape, d)
          alpha[i] = a
          const y = value[i]! - empty[i]! * (1 - a)
          const b = a * d
          aa += w * a * a
          ab += w * a * b
          bb += w * b * b
          ay += w * a * y
          by += w * b * y
        }
        const det = aa * bb - ab * ab
        if (used < 4 || det <= 1e-6 * aa * bb) continue
        const level = (bb * ay - ab * by) / det
        const tilt = (aa * by - ab * ay) / det
        const columns: Float64Array[] = []
        const rest = new Float64Array(to - from)
        for (let p = 0; p < 3; p++) columns.push(new Float64Array(to - from))
        for (let i = from; i < to; i++) {
          if (weight[i] === 0) continue
          const d = reach[i]!
          const inside = level + tilt * d - empty[i]!
          const steep = slopeAt(shape, d) * inside + alpha[i]! * tilt
          const rho = radius + dr - d
          rest[i - from] = value[i]! - empty[i]! - alpha[i]! * inside
          error[i] = rest[i - from]!
          errors.push(Math.abs(error[i]!))
          columns[0]![i - from] = (steep * (along[i]! - dx)) / rho
          columns[1]![i - from] = (steep * (across[i]! - dy)) / rho
          columns[2]![i - from] = steep
        }
        for (const column of columns) {
          let ja = 0
          let jb = 0
          for (let i = from; i < to; i++) {
            const w = weight[i]! * alpha[i]!
            if (weight[i] === 0) continue
            ja += w * column[i - from]!
            jb += w * reach[i]! * column[i - from]!
          }
          const pa = (bb * ja - ab * jb) / det
          const pb = (aa * jb - ab * ja) / det
          for (let i = from; i < to; i++) {
            if (weight[i] !== 0) column[i - from] = column[i - from]! - alpha[i]! * (pa + pb * reach[i]!)
          }
        }
        for (let i = from; i < to; i++) {
          const w = weight[i]!
          if (w === 0) continue
          for (let p = 0; p < 3; p++) {
            const jp = columns[p]![i - from]!
            right[p] = right[p]! + w * jp * rest[i - from]!
            for (let q = 0; q < 3; q++) normal[3 * p + q] = normal[3 * p + q]! + w * jp * columns[q]![i - from]!
          }
        }
      }
    }
    if (errors.length < 40) return undefined
    const sorted = Float64Array.from(errors)
    scale = Math.max(0.5 * noise, 1.4826 * quickselect(sorted, sorted.length, sorted.length >> 1), 0.3)
    // A weak spring (about 3 px) keeps height and radius apart where the visible arc hardly tells them apart.
    for (let p = 0; p < 3; p++) normal[4 * p] = normal[4 * p]! + (scale * scale) / 9
    const step = solveSymmetric(normal, right, 3)
    if (!step) return undefined
    const bounded = (v: number): number => Math.max(-1, Math.min(1, v))
    dx += bounded(step[0]!)
    dy += bounded(step[1]!)
    dr += bounded(step[2]!)
    if (Math.hypot(dx, dy) > 5 || Math.abs(dr) > 5) return undefined
  }
  return { along: dx, across: dy, radius: dr, misfit: scale }
}
