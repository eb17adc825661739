import type { FrameSource } from '../../workers/decode/frame-source.ts'
import { openNativeLuma } from './native-luma.ts'

/** A clip's frames as the decode worker gives them to its jobs, decoded by the ffmpeg installed on the machine. */
export function nativeFrames(path: string): FrameSource & { close(): void } {
  const native = openNativeLuma(path)
  return {
    frames: native.frameCount,
    width: native.storedWidth,
    height: native.storedHeight,
    rotation_deg: 0,
    mirrored: false,
    luma: async (frame) => ({
      kind: 'luma',
      frame,
      luma: { ...(await native.luma(frame)), fullRange: false },
      doubtful: false,
    }),
    close: () => native.close(),
  }
}

/** What a job is given when nobody watches and nobody cancels. */
export const unwatched = { signal: new AbortController().signal, report: () => undefined }
