import type { Luma } from './frame-source.ts'
import type { Rect } from './turn.ts'

/** The part of a rectangle that lies inside a picture, on whole pixels; null when none does. */
export function clipRect(rect: Rect, width: number, height: number): Rect | null {
  const x = Math.max(0, Math.floor(rect.x))
  const y = Math.max(0, Math.floor(rect.y))
  const right = Math.min(width, Math.ceil(rect.x + rect.width))
  const bottom = Math.min(height, Math.ceil(rect.y + rect.height))
  return right > x && bottom > y ? { x, y, width: right - x, height: bottom - y } : null
}

/** A copy of part of a picture's brightness, in memory of its own, so that it can be sent away. */
export function copyPatch(luma: Luma, rect: Rect): Luma {
  const data = new (luma.bitDepth > 8 ? Uint16Array : Uint8Array)(rect.width * rect.height)
  for (let y = 0; y < rect.height; y++) {
    const from = (rect.y + y) * luma.stride + rect.x
    data.set(luma.data.subarray(from, from + rect.width), y * rect.width)
  }
  const { bitDepth, fullRange } = luma
  return { width: rect.width, height: rect.height, stride: rect.width, data, bitDepth, fullRange }
}

/** Mean brightness of part of a picture, as a share of full scale (0 … 1). */
export function meanOf(luma: Luma, rect: Rect): number {
  let sum = 0
  for (let y = rect.y; y < rect.y + rect.height; y++) {
    const row = y * luma.stride
    for (let x = rect.x; x < rect.x + rect.width; x++) sum += luma.data[row + x] ?? 0
  }
  return sum / (rect.width * rect.height) / (2 ** luma.bitDepth - 1)
}
