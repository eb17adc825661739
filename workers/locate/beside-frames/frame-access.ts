import type { FrameSource as DecodedFrames } from '../../decode/frame-source.ts'
import type { FrameSource, Luma, Rotation } from '../frame-source.ts'

/** Why a clip's frames cannot be looked at as they are. */
export type NoAccess = { readonly kind: 'mirrored' }

/**
 * Frames of the decoder as this room reads them, in the displayed picture. `turn_deg`: the clockwise turn that the person asked for on top of
 * the file's. A frame that holds no picture is answered with the one before, which is then told as a repeated one and gets no mark.
 */
export function frameAccess(decoded: DecodedFrames, turn_deg: Rotation, signal: AbortSignal): FrameSource | NoAccess {
  if (decoded.mirrored) return { kind: 'mirrored' }
  let before: Luma | undefined
  return {
    frameCount: decoded.frames,
    storedWidth: decoded.width,
    storedHeight: decoded.height,
    rotation: turned(decoded.rotation_deg, turn_deg),
    async luma(frame) {
      const outcome = await decoded.luma(frame, signal)
      if (outcome.kind === 'luma') before = outcome.luma
      return before ?? dark(decoded.width, decoded.height)
    },
  }
}

const turns: readonly Rotation[] = [0, 90, 180, 270]
const turned = (file_deg: Rotation, person_deg: Rotation): Rotation => turns[((file_deg + person_deg) / 90) % 4]!

const dark = (width: number, height: number): Luma => ({
  width,
  height,
  stride: width,
  data: new Uint8Array(width * height),
  bitDepth: 8,
})
