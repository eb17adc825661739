/** A piece of the displayed picture's luma; its first pixel is column x0, row y0 (centre at x0 + ½, y0 + ½). Row by row. */
export interface LumaPatch {
  readonly x0: number
  readonly y0: number
  readonly width: number
  readonly height: number
  readonly luma: ArrayLike<number>
}

/** Brightness at a place of the picture [px, pixel centres at .5] between the four nearest pixels; undefined outside. */
export function lumaAt(patch: LumaPatch, x: number, y: number): number | undefined {
  const px = x - patch.x0 - 0.5
  const py = y - patch.y0 - 0.5
  const column = Math.floor(px)
  const row = Math.floor(py)
  if (column < 0 || row < 0 || column + 1 >= patch.width || row + 1 >= patch.height) return undefined
  const i = row * patch.width + column
  const [fx, fy] = [px - column, py - row]
  const upper = patch.luma[i]! + fx * (patch.luma[i + 1]! - patch.luma[i]!)
  const lower = patch.luma[i + patch.width]! + fx * (patch.luma[i + patch.width + 1]! - patch.luma[i + patch.width]!)
  return upper + fy * (lower - upper)
}
