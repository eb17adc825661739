import { storedPixel, toEightBit, type Luma, type Rotation } from './frame-source.ts'
import { toneIndex, toneOf } from './tone.ts'

/** A square piece of the displayed picture, on the scale of `Tone`; pixels outside the picture repeat its edge. */
export interface Patch {
  /** Displayed column and row of its first pixel. */
  readonly left: number
  readonly top: number
  readonly size: number
  /** Row after row; may be longer than the patch. */
  readonly value: Float32Array
}

/** `into`: memory of a patch no longer needed, used again where it is large enough. */
export function cutPatch(
  luma: Luma,
  rotation: Rotation,
  x: number,
  y: number,
  half: number,
  into?: Float32Array,
): Patch {
  const upright = rotation === 0 || rotation === 180
  const width = upright ? luma.width : luma.height
  const height = upright ? luma.height : luma.width
  const left = Math.floor(x) - half
  const top = Math.floor(y) - half
  const size = 2 * half + 1
  const value = into && into.length >= size * size ? into : new Float32Array(size * size)
  const scale = toEightBit(luma.bitDepth)
  const tone = toneOf(luma.fullRange).value
  const { data, stride } = luma
  for (let j = 0; j < size; j++) {
    const row = Math.max(0, Math.min(height - 1, top + j))
    for (let i = 0; i < size; i++) {
      const column = Math.max(0, Math.min(width - 1, left + i))
      if (rotation === 0) {
        value[j * size + i] = tone[toneIndex(data[row * stride + column]! * scale)]!
        continue
      }
      const stored = storedPixel(rotation, luma.width, luma.height, column, row)
      value[j * size + i] = tone[toneIndex(data[stored.row * stride + stored.column]! * scale)]!
    }
  }
  return { left, top, size, value }
}

/** Bilinear value at a point of the displayed picture. */
export function valueAt(patch: Patch, x: number, y: number): number {
  const { size, value } = patch
  const fx = Math.max(0, Math.min(size - 1.001, x - 0.5 - patch.left))
  const fy = Math.max(0, Math.min(size - 1.001, y - 0.5 - patch.top))
  const i = Math.floor(fx)
  const j = Math.floor(fy)
  const a = fx - i
  const b = fy - j
  const at = j * size + i
  const upper = value[at]! + a * (value[at + 1]! - value[at]!)
  const lower = value[at + size]! + a * (value[at + size + 1]! - value[at + size]!)
  return upper + b * (lower - upper)
}

export interface Gradient {
  readonly size: number
  /** Slopes along x and along y of one pixel after the other; nothing is said of the outermost two rows and columns. */
  readonly slopes: Float32Array
}

/** Memory that gradients use one after the other. */
export interface GradientWork {
  across: Float32Array
  smooth: Float32Array
  slopes: Float32Array
}

export const gradientWork = (): GradientWork => ({
  across: new Float32Array(0),
  smooth: new Float32Array(0),
  slopes: new Float32Array(0),
})

/** Brightness slope [grey levels/px] of a lightly smoothed patch: central differences after a 1-2-1 filter both ways. It lies in `work`. */
export function gradientOf(patch: Patch, work: GradientWork = gradientWork()): Gradient {
  const { size, value } = patch
  if (work.across.length < size * size) {
    work.across = new Float32Array(size * size)
    work.smooth = new Float32Array(size * size)
    work.slopes = new Float32Array(2 * size * size)
  }
  const { across, smooth, slopes } = work
  for (let j = 0; j < size; j++) {
    for (let i = 1; i < size - 1; i++) {
      const at = j * size + i
      across[at] = 0.25 * value[at - 1]! + 0.5 * value[at]! + 0.25 * value[at + 1]!
    }
  }
  for (let j = 1; j < size - 1; j++) {
    for (let i = 1; i < size - 1; i++) {
      const at = j * size + i
      smooth[at] = 0.25 * across[at - size]! + 0.5 * across[at]! + 0.25 * across[at + size]!
    }
  }
  for (let j = 2; j < size - 2; j++) {
    for (let i = 2; i < size - 2; i++) {
      const at = j * size + i
      slopes[2 * at] = (smooth[at + 1]! - smooth[at - 1]!) / 2
      slopes[2 * at + 1] = (smooth[at + size]! - smooth[at - size]!) / 2
    }
  }
  return { size, slopes }
}
