import { storedPixel, toEightBit, type Luma, type Rotation } from './frame-source.ts'

/** A square piece of the displayed picture, on the 0 … 255 scale; pixels outside the picture repeat its edge. */
export interface Patch {
  /** Displayed column and row of its first pixel. */
  readonly left: number
  readonly top: number
  readonly size: number
  readonly value: Float32Array
}

export function cutPatch(luma: Luma, rotation: Rotation, x: number, y: number, half: number): Patch {
  const upright = rotation === 0 || rotation === 180
  const width = upright ? luma.width : luma.height
  const height = upright ? luma.height : luma.width
  const left = Math.floor(x) - half
  const top = Math.floor(y) - half
  const size = 2 * half + 1
  const value = new Float32Array(size * size)
  const scale = toEightBit(luma.bitDepth)
  for (let j = 0; j < size; j++) {
    const row = Math.max(0, Math.min(height - 1, top + j))
    for (let i = 0; i < size; i++) {
      const column = Math.max(0, Math.min(width - 1, left + i))
      const stored = storedPixel(rotation, luma.width, luma.height, column, row)
      value[j * size + i] = luma.data[stored.row * luma.stride + stored.column]! * scale
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
  readonly gx: Float32Array
  readonly gy: Float32Array
}

/** Brightness slope [grey levels/px] of a lightly smoothed patch: central differences after a 1-2-1 filter both ways. */
export function gradientOf(patch: Patch): Gradient {
  const { size, value } = patch
  const across = new Float32Array(size * size)
  const smooth = new Float32Array(size * size)
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
  const gx = new Float32Array(size * size)
  const gy = new Float32Array(size * size)
  for (let j = 2; j < size - 2; j++) {
    for (let i = 2; i < size - 2; i++) {
      const at = j * size + i
      gx[at] = (smooth[at + 1]! - smooth[at - 1]!) / 2
      gy[at] = (smooth[at + size]! - smooth[at - size]!) / 2
    }
  }
  return { size, gx, gy }
}
