/** Brightness of one frame as the camera coded it, before rotation: row `y` starts at `y * stride`, left to right.
 *  Samples run from 0 to 2^bitDepth − 1. The memory is shared with the frame cache: read it, never write to it, and
 *  not after the eighth `luma` call that follows, when it may hold another frame: copy what has to last. */
export interface Luma {
  readonly width: number
  readonly height: number
  readonly stride: number
  readonly data: Uint8Array | Uint16Array
  readonly bitDepth: number
  /** True when black is 0 and white is full scale; false when video levels (16 … 235 of 8 bit) were coded. */
  readonly fullRange: boolean
}

export type LumaOutcome =
  | { readonly kind: 'luma'; readonly frame: number; readonly luma: Luma; readonly doubtful: boolean }
  | { readonly kind: 'missing-frame'; readonly frame: number }

/** What locating code is given: the brightness of any frame of one clip, exact to the frame number.
 *  Frames are numbered from 0 in the order they are shown. Asking in rising order is the fast way. */
export interface FrameSource {
  readonly frames: number
  /** Coded size in pixels, before rotation. */
  readonly width: number
  readonly height: number
  /** Clockwise rotation that turns a coded frame into the displayed picture. */
  readonly rotation_deg: 0 | 90 | 180 | 270
  /** True when the turned picture must also be mirrored left to right. */
  readonly mirrored: boolean
  /** Brightness of a frame. `missing-frame` when the file holds no decodable picture there; `doubtful` when the
   *  decoder patched over damage. Rejects with the signal's reason when aborted. */
  luma(frame: number, signal?: AbortSignal): Promise<LumaOutcome>
}
