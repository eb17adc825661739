import { toCoded, type Turn } from '../decode/turn.ts'

/** One decoded luma plane as stored in the file (not rotated). Values run 0 … 2^bitDepth − 1. */
export interface Luma {
  readonly width: number
  readonly height: number
  /** Samples from the start of one row to the start of the next, ≥ width. */
  readonly stride: number
  readonly data: Uint8Array | Uint16Array
  readonly bitDepth: number
  /** Whether 0 … 255 are black and white, not 16 … 235 (on the scale of 8 bits); where absent they are not. */
  readonly fullRange?: boolean
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

/** How the stored picture is turned to be looked at; a mirrored one is refused before it comes here. */
export function turnOf({
  storedWidth: width,
  storedHeight: height,
  rotation: rotation_deg,
}: Pick<FrameSource, 'storedWidth' | 'storedHeight' | 'rotation'>): Turn {
  return { width, height, rotation_deg, mirrored: false }
}

/** Stored column and row of a displayed pixel (integers). */
export function storedPixel(
  rotation: Rotation,
  storedWidth: number,
  storedHeight: number,
  column: number,
  row: number,
): { column: number; row: number } {
  const turn = turnOf({ storedWidth, storedHeight, rotation })
  const { x, y } = toCoded(turn, { x: column + 0.5, y: row + 0.5 })
  return { column: Math.floor(x), row: Math.floor(y) }
}

/** Factor that takes stored values to the scale 0 … 255 on which all contrasts of this room are meant. */
export function toEightBit(bitDepth: number): number {
  return 1 / 2 ** (bitDepth - 8)
}
