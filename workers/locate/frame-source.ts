/** One decoded luma plane as stored in the file (not rotated). Values run 0 … 2^bitDepth − 1. */
export interface Luma {
  readonly width: number
  readonly height: number
  /** Samples from the start of one row to the start of the next, ≥ width. */
  readonly stride: number
  readonly data: Uint8Array | Uint16Array
  readonly bitDepth: number
}

/** Clockwise turn that takes the stored picture to the displayed one. */
export type Rotation = 0 | 90 | 180 | 270

/** Where frames come from. `luma(frame)` is asked in rising order, so that one decoder pass serves it; the returned
 *  plane need only stay valid until the next call. */
export interface FrameSource {
  readonly frameCount: number
  /** Size of the stored picture, before rotation. */
  readonly storedWidth: number
  readonly storedHeight: number
  readonly rotation: Rotation
  luma(frame: number): Luma | Promise<Luma>
}

/** Size of the displayed picture. */
export function displayedSize(source: Pick<FrameSource, 'storedWidth' | 'storedHeight' | 'rotation'>): {
  width: number
  height: number
} {
  const upright = source.rotation === 0 || source.rotation === 180
  return upright
    ? { width: source.storedWidth, height: source.storedHeight }
    : { width: source.storedHeight, height: source.storedWidth }
}

/** Stored column and row of a displayed pixel (integers). */
export function storedPixel(
  rotation: Rotation,
  storedWidth: number,
  storedHeight: number,
  column: number,
  row: number,
): { column: number; row: number } {
  switch (rotation) {
    case 0:
      return { column, row }
    case 90:
      return { column: row, row: storedHeight - 1 - column }
    case 180:
      return { column: storedWidth - 1 - column, row: storedHeight - 1 - row }
    case 270:
      return { column: storedWidth - 1 - row, row: column }
  }
}

/** Factor that takes stored values to the scale 0 … 255 on which all contrasts of this room are meant. */
export function toEightBit(bitDepth: number): number {
  return 1 / 2 ** (bitDepth - 8)
}
