import type { Strip } from './strip.ts'

/** Where a strip's columns lie in a luma plane, for those whose cells all lie in the picture, one plane step apart: nearly all of them. Saves
 *  the look into the strip's table for every pixel. */
export interface StraightColumns {
  /** Index in the plane of a column's first cell; −1 where the table must be asked. */
  readonly first: Int32Array
  /** From one cell of a column to the next. */
  readonly step: number
}

export function straightColumns({ columns, rows, source }: Strip): StraightColumns {
  const first = new Int32Array(columns).fill(-1)
  let step = 0
  for (let c = 0; c < columns; c++) {
    const top = source[c * rows]!
    const own = source[c * rows + 1]! - top
    if (top < 0 || (step !== 0 && own !== step)) continue
    let straight = true
    for (let k = 1; straight && k < rows; k++) straight = source[c * rows + k] === top + k * own
    if (!straight) continue
    step = own
    first[c] = top
  }
  return { first, step }
}

type Plane = Uint8Array | Uint16Array

/** Copies all rows of the columns from … to into `out`, from `start` on. A cell outside the picture takes the plane's first pixel, which no
 *  reader looks at. */
export function copyColumns(
  strip: Strip,
  { first, step }: StraightColumns,
  from: number,
  to: number,
  plane: Plane,
  out: Plane,
  start: number,
): void {
  const { rows, source } = strip
  let j = start
  for (let c = from; c < to; c++) {
    let at = first[c]!
    if (at >= 0) {
      for (const end = j + rows; j < end; j++) {
        out[j] = plane[at]!
        at += step
      }
    } else {
      for (let cell = c * rows, end = cell + rows; cell < end; cell++) out[j++] = plane[Math.max(0, source[cell]!)]!
    }
  }
}

/** Where some rows of every `every`-th column lie in the plane, column after column. A cell outside the picture stands for the plane's first
 *  pixel, which no reader looks at. */
export function probeCells({ columns, rows, source }: Strip, every: number, probeRows: readonly number[]): Int32Array {
  const count = probeRows.length
  return Int32Array.from({ length: Math.ceil(columns / every) * count }, (_, i) =>
    Math.max(0, source[Math.floor(i / count) * every * rows + probeRows[i % count]!]!),
  )
}

/** Copies the pixels of these cells into `out`, and adds them up over blocks of `block` of them; the last few that fill no block are in no sum,
 *  unless they are all there are. */
export function copyProbes(cells: Int32Array, plane: Plane, out: Plane, block: number, sums: Float32Array): void {
  for (let i = 0; i < cells.length; i++) out[i] = plane[cells[i]!]!
  for (let done = 0, i = 0; done < sums.length; done++) {
    let sum = 0
    for (const end = Math.min(cells.length, i + block); i < end; i++) sum += out[i]!
    sums[done] = sum
  }
}
