import type { ClipFacts, OpenProgress, Refused } from '../decode/clip-facts.ts'
import type { Luma } from '../decode/frame-source.ts'
import type { Rect } from '../decode/turn.ts'
import type { FactsChange, ReaderChoice } from '../decode/opened-clip.ts'

/** What the decode worker answers. Clips go by a number that the page gives them. */
export type DecodeCalls = {
  open: {
    readonly args: { readonly clip: number; readonly files: readonly File[]; readonly reader: ReaderChoice }
    readonly result: { readonly kind: 'open'; readonly facts: ClipFacts } | Refused
    readonly progress: OpenProgress
  }
  close: { readonly args: { readonly clip: number }; readonly result: null; readonly progress: never }
  picture: {
    readonly args: { readonly clip: number; readonly frame: number }
    readonly result: PictureOutcome
    readonly progress: never
  }
  glance: {
    readonly args: { readonly clip: number; readonly frame: number; readonly width_px: number }
    readonly result: GlanceOutcome
    readonly progress: never
  }
  lumaPatch: {
    readonly args: { readonly clip: number; readonly frame: number; readonly rect: Rect }
    readonly result: PatchOutcome
    readonly progress: never
  }
  contentHash: {
    readonly args: { readonly clip: number }
    readonly result: string
    readonly progress: { readonly fraction: number }
  }
  job: {
    readonly args: { readonly clip: number; readonly name: string; readonly params: unknown }
    readonly result: unknown
    readonly progress: unknown
  }
  state: { readonly args: null; readonly result: DecodeState; readonly progress: never }
}

export interface DecodeEvent {
  readonly kind: 'facts'
  readonly clip: number
  readonly change: FactsChange
}

/** A picture to draw, unturned: turn it by the clip's `rotation_deg` and mirror it when `mirrored`. Close it when drawn. */
export type PictureOutcome =
  | {
      readonly kind: 'picture'
      readonly frame: number
      readonly image: VideoFrame | ImageBitmap
      readonly doubtful: boolean
    }
  | { readonly kind: 'missing-frame'; readonly frame: number }
  | { readonly kind: 'failed'; readonly frame: number; readonly sentence: string }

/** A small picture near a frame: `frame` says which one it really shows. */
export type GlanceOutcome =
  | { readonly kind: 'glance'; readonly frame: number; readonly image: ImageBitmap }
  | { readonly kind: 'missing-frame'; readonly frame: number }

export type PatchOutcome =
  | {
      readonly kind: 'patch'
      readonly frame: number
      readonly rect: Rect
      readonly luma: Luma
      readonly doubtful: boolean
    }
  | { readonly kind: 'missing-frame'; readonly frame: number }
  | { readonly kind: 'outside'; readonly frame: number }

/** For tests and the About page: what the decode thread holds at the moment. */
export interface DecodeState {
  readonly openFrames: number
  readonly cached_bytes: number
  readonly crossOriginIsolated: boolean
}
