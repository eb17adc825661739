import { SHAPE_REACH_PX, STEPS_PER_PX, type EdgeShape } from './edge-shape.ts'
import type { EdgePixels } from './edge-pixels.ts'
import { upperMedian } from './middle-value.ts'
import { solveSymmetric, tukey } from './robust.ts'

/** Correction of an assumed circle from both sides of its outline at once, px. */
export interface CircleFit {
  readonly along: number
  readonly across: number
  readonly radius: number
  readonly misfit: number
}

const MOST_ITERATIONS = 6

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
  const left = sides[0]!.work.scratch
  const { table, slope: steepness } = shape
  // A pixel that comes within reach later on has no error yet: it must not inherit one from the outline fitted before.
  for (const { work, rowStart, rowCount } of sides) work.error.fill(0, 0, rowStart[rowCount])
  for (let iteration = 0; iteration < MOST_ITERATIONS; iteration++) {
    let nxx = 0
    let nxy = 0
    let nxr = 0
    let nyy = 0
    let nyr = 0
    let nrr = 0
    let bAlong = 0
    let bAcross = 0
    let bRadius = 0
    let count = 0
    let all = 0
    for (const pixels of sides) {
      const { along, across, value, empty, toGrey, rowStart, rowCount, work } = pixels
      const { weight, alpha, reach, error, slope: outward, towardX, towardY } = work
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
          const da = along[i]! - dx
          const dc = across[i]! - dy
          const d = radius + dr - Math.sqrt(da * da + dc * dc)
          reach[i] = d
          let w = Math.abs(d) >= 3.2 ? 0 : Math.abs(d) <= 2.2 ? 1 : 3.2 - Math.abs(d)
          if (iteration > 0 && w > 0) w *= tukey(error[i]!, 4.685 * scale)
          w *= toGrey[i]! * toGrey[i]!
          weight[i] = w
          if (w === 0) continue
          used++
          // The share and its slope as shapeAt would read them, both at once.
          const entry = (d + SHAPE_REACH_PX) * STEPS_PER_PX
          const e = entry | 0
          const part = entry - e
          const a = table[e]! + part * (table[e + 1]! - table[e]!)
          alpha[i] = a
          outward[i] = steepness[e]! + part * (steepness[e + 1]! - steepness[e]!)
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
        let xa = 0
        let xb = 0
        let ya = 0
        let yb = 0
        let ra = 0
        let rb = 0
        for (let i = from; i < to; i++) {
          if (weight[i] === 0) continue
          const d = reach[i]!
          const inside = level + tilt * d - empty[i]!
          const steep = outward[i]! * inside + alpha[i]! * tilt
          const rho = radius + dr - d
          const rest = value[i]! - empty[i]! - alpha[i]! * inside
          error[i] = toGrey[i]! * rest
          const size = Math.abs(error[i]!)
          left[count++] = size
          all += size
          const jx = (steep * (along[i]! - dx)) / rho
          const jy = (steep * (across[i]! - dy)) / rho
          towardX[i] = jx
          towardY[i] = jy
          outward[i] = steep
          const wa = weight[i]! * alpha[i]!
          const wb = wa * d
          xa += wa * jx
          xb += wb * jx
          ya += wa * jy
          yb += wb * jy
          ra += wa * steep
          rb += wb * steep
        }
        // Each derivative freed of what the row's level and tilt can take up.
        const px = (bb * xa - ab * xb) / det
        const qx = (aa * xb - ab * xa) / det
        const py = (bb * ya - ab * yb) / det
        const qy = (aa * yb - ab * ya) / det
        const pr = (bb * ra - ab * rb) / det
        const qr = (aa * rb - ab * ra) / det
        for (let i = from; i < to; i++) {
          const w = weight[i]!
          if (w === 0) continue
          const a = alpha[i]!
          const d = reach[i]!
          const jx = towardX[i]! - a * (px + qx * d)
          const jy = towardY[i]! - a * (py + qy * d)
          const jr = outward[i]! - a * (pr + qr * d)
          const rest = error[i]! / toGrey[i]!
          nxx += w * jx * jx
          nxy += w * jx * jy
          nxr += w * jx * jr
          nyy += w * jy * jy
          nyr += w * jy * jr
          nrr += w * jr * jr
          bAlong += w * jx * rest
          bAcross += w * jy * rest
          bRadius += w * jr * rest
        }
      }
    }
    if (count < 40) return undefined
    scale = Math.max(0.5 * noise, 1.4826 * upperMedian(left, count, all), 0.3)
    // A weak spring (about 3 px) keeps height and radius apart where the visible arc hardly tells them apart.
    const spring = (scale * scale) / 9
    const step = solveSymmetric(
      [nxx + spring, nxy, nxr, nxy, nyy + spring, nyr, nxr, nyr, nrr + spring],
      [bAlong, bAcross, bRadius],
      3,
    )
    if (!step) return undefined
    const bounded = (v: number): number => Math.max(-1, Math.min(1, v))
    dx += bounded(step[0]!)
    dy += bounded(step[1]!)
    dr += bounded(step[2]!)
    if (Math.abs(dx) > 5 || Math.abs(dy) > 5 || Math.abs(dr) > 5) return undefined
    if (iteration > 1 && Math.max(Math.abs(step[0]!), Math.abs(step[1]!), Math.abs(step[2]!)) < 0.01) break
  }
  return { along: dx, across: dy, radius: dr, misfit: scale }
}
