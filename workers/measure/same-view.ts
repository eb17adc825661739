import * as maths from '../elementary/maths.ts'
import type { LumaPatch } from './luma-patch.ts'
import { featureShift } from './still-feature.ts'

export type ViewAgreement =
  | { readonly kind: 'same'; readonly shift_px: number; readonly agree: number; readonly of: number }
  /** The still background went by this much: the same set-up, but the camera was touched. */
  | { readonly kind: 'moved'; readonly dx: number; readonly dy: number; readonly agree: number; readonly of: number }
  | { readonly kind: 'different'; readonly agree: number; readonly of: number }
  | { readonly kind: 'cannot-tell'; readonly textured: number; readonly need: number }
  | { readonly kind: 'other-size'; readonly a: readonly [number, number]; readonly b: readonly [number, number] }

const block = 32
const fewestBlocks = 5
/** A shift below this costs less than placing a point does [px]. */
const still_px = 0.3

/**
 * Whether two clips were filmed from one camera position: their still backgrounds (whole pictures, or the same part of both, balls taken out) are
 * compared block by block where there is texture; most blocks must agree on one shift, and that be next to nothing.
 */
export function sameView(a: LumaPatch, b: LumaPatch): ViewAgreement {
  if (a.width !== b.width || a.height !== b.height)
    return { kind: 'other-size', a: [a.width, a.height], b: [b.width, b.height] }
  const blocks = texturedBlocks(a)
  if (blocks.length < fewestBlocks) return { kind: 'cannot-tell', textured: blocks.length, need: fewestBlocks }
  const shifts: { dx: number; dy: number }[] = []
  for (const at of blocks) {
    const shift = featureShift(cut(a, at.x, at.y, block), cut(b, at.x - 8, at.y - 8, block + 16))
    if (shift.kind === 'shift' && maths.hypot(shift.dx, shift.dy) < 8) shifts.push(shift)
  }
  const of = blocks.length
  const dx = median(shifts.map((s) => s.dx))
  const dy = median(shifts.map((s) => s.dy))
  // One shift and a little turn: blocks may differ by a pixel and still tell of one camera.
  const agree = shifts.filter((s) => maths.hypot(s.dx - dx, s.dy - dy) < 1).length
  if (shifts.length === 0 || agree < 0.6 * of) return { kind: 'different', agree, of }
  const worst = quantile(
    shifts.map((s) => maths.hypot(s.dx, s.dy)),
    0.8,
  )
  return worst <= still_px
    ? { kind: 'same', shift_px: maths.hypot(dx, dy), agree, of }
    : { kind: 'moved', dx, dy, agree, of }
}

/** Blocks with contrast in both directions, at most 60, spread over the picture. */
function texturedBlocks(patch: LumaPatch): { x: number; y: number }[] {
  const found: { x: number; y: number; contrast: number }[] = []
  for (let y = patch.y0 + 8; y + block + 8 <= patch.y0 + patch.height; y += block)
    for (let x = patch.x0 + 8; x + block + 8 <= patch.x0 + patch.width; x += block) {
      let [xx, xy, yy] = [0, 0, 0]
      for (let j = 1; j < block - 1; j += 2)
        for (let i = 1; i < block - 1; i += 2) {
          const at = (y - patch.y0 + j) * patch.width + (x - patch.x0 + i)
          const gx = (patch.luma[at + 1]! - patch.luma[at - 1]!) / 2
          const gy = (patch.luma[at + patch.width]! - patch.luma[at - patch.width]!) / 2
          xx += gx * gx
          xy += gx * gy
          yy += gy * gy
        }
      const weak = (xx + yy) / 2 - maths.hypot((xx - yy) / 2, xy)
      // Mean square gradient of 4 grey levels per pixel in the weaker direction stands clear of noise.
      if (weak / ((block - 2) / 2) ** 2 > 4) found.push({ x, y, contrast: weak })
    }
  return found.sort((p, q) => q.contrast - p.contrast).slice(0, 60)
}

/** A part of a patch, as far as it reaches. */
export function cut(patch: LumaPatch, x: number, y: number, size: number): LumaPatch {
  const x0 = Math.max(patch.x0, x)
  const y0 = Math.max(patch.y0, y)
  const width = Math.max(0, Math.min(patch.x0 + patch.width, x + size) - x0)
  const height = Math.max(0, Math.min(patch.y0 + patch.height, y + size) - y0)
  const luma = new Float32Array(width * height)
  for (let j = 0; j < height; j++)
    for (let i = 0; i < width; i++)
      luma[j * width + i] = patch.luma[(y0 - patch.y0 + j) * patch.width + (x0 - patch.x0 + i)]!
  return { x0, y0, width, height, luma }
}

function quantile(values: readonly number[], part: number): number {
  const sorted = [...values].sort((p, q) => p - q)
  return sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))] ?? NaN
}

const median = (values: readonly number[]) => quantile(values, 0.5)
