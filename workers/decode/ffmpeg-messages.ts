import type { SampleFormat } from './planes.ts'

/** What the thread that runs ffmpeg is asked to do. */
export interface FfmpegStart {
  readonly kind: 'start'
  readonly coreUrl: string
  readonly module: WebAssembly.Module
}
export interface FfmpegExec {
  readonly kind: 'exec'
  readonly id: number
  readonly file: Blob
  readonly output: 'frames' | 'text'
  /** Arguments before and after `-i FILE`; the output device is appended. */
  readonly before: readonly string[]
  readonly after: readonly string[]
  /** Shared counters for pulling frames one by one; null where memory cannot be shared. */
  readonly control: SharedArrayBuffer | null
  /** True when every coded frame stands alone, so that damage ends with the frame it hits. */
  readonly intraOnly: boolean
}

/** Slots of the shared counters: frames the reader allows so far, and whether it wants no more. */
export const controlSlot = { allowed: 0, stop: 1 } as const

export interface FfmpegFrame {
  readonly kind: 'frame'
  readonly id: number
  /** Place among the frames written by this call. */
  readonly ordinal: number
  readonly time_s: number
  readonly format: SampleFormat
  readonly fullRange: boolean | null
  readonly width: number
  readonly height: number
  readonly buffer: ArrayBuffer
  readonly doubtful: boolean
}
export interface FfmpegDone {
  readonly kind: 'done'
  readonly id: number
  readonly ret: number
  /** Lines of the log that are neither frames nor progress, the last few hundred. */
  readonly log: readonly string[]
  readonly text: string
}
export type FfmpegReport =
  | FfmpegFrame
  | FfmpegDone
  | { readonly kind: 'read'; readonly id: number; readonly position: number }
  | { readonly kind: 'crashed'; readonly id: number; readonly cause: string }
