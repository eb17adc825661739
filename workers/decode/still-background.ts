import type { FrameJob } from './frame-job.ts'

/** A clip's picture without what moves through it: unturned, as coded, in grey levels of 8 bits. */
export interface StillBackground {
  readonly width: number
  readonly height: number
  readonly luma: Uint8Array
}

/** Frames that the middle is taken of: what covers a place on fewer than half of them leaves no trace. */
const samples = 9

/** The middle brightness of every pixel over frames spread through a stretch; null where no frame has a picture. */
export const stillBackground: FrameJob<
  { readonly first: number; readonly last: number },
  StillBackground | null,
  { readonly fraction: number }
> = async (source, { first, last }, context) => {
  const count = Math.max(1, Math.min(samples, last - first + 1))
  const pictures: Uint8Array[] = []
  for (let k = 0; k < count; k++) {
    const frame = Math.round(first + ((last - first) * (k + 0.5)) / count)
    const outcome = await source.luma(Math.min(source.frames - 1, Math.max(0, frame)), context.signal)
    if (outcome.kind === 'luma') {
      const { luma } = outcome
      const shift = luma.bitDepth - 8
      const copy = new Uint8Array(source.width * source.height)
      for (let y = 0; y < source.height; y++)
        for (let x = 0; x < source.width; x++) copy[y * source.width + x] = luma.data[y * luma.stride + x]! >> shift
      pictures.push(copy)
    }
    context.report({ fraction: (k + 1) / count })
  }
  if (pictures.length === 0) return null
  const luma = new Uint8Array(source.width * source.height)
  const column = new Uint8Array(pictures.length)
  for (let p = 0; p < luma.length; p++) {
    // Sorted as it is filled: for so few values far quicker than a sort.
    for (let k = 0; k < pictures.length; k++) {
      const value = pictures[k]![p]!
      let at = k
      while (at > 0 && column[at - 1]! > value) {
        column[at] = column[at - 1]!
        at--
      }
      column[at] = value
    }
    luma[p] = column[column.length >> 1]!
  }
  return { width: source.width, height: source.height, luma }
}
