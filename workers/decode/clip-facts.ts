import type { IntervalStatistics } from './intervals.ts'

/** Which part of the tool turns the bytes of a clip into frames. */
export type DecoderName = 'webcodecs' | 'prores' | 'image-decoder' | 'ffmpeg'

export type Rotation = 0 | 90 | 180 | 270

/** What is wrong with a clip that still opened; `sentence` is ready to be shown. */
export type Damage =
  | { readonly kind: 'cut-off'; readonly indexed: number; readonly usable: number; readonly sentence: string }
  | { readonly kind: 'damaged-end'; readonly usable: number; readonly sentence: string }
  | { readonly kind: 'damaged-data'; readonly firstFrame: number; readonly sentence: string }
  | { readonly kind: 'damaged-times'; readonly packets: number; readonly sentence: string }
  | { readonly kind: 'missing-stills'; readonly missing: readonly number[]; readonly sentence: string }

/** What is known of a clip once it is open. Plain data: it crosses threads and is stored as rate facts. */
export interface ClipFacts {
  readonly name: string
  readonly size_bytes: number
  /** Hash of size and end blocks: tells at once whether this is the file a record speaks of. */
  readonly quickKey: string
  /** Human name of the container, e.g. `MP4`. */
  readonly container: string
  /** Human name of the codec, e.g. `H.264`. */
  readonly codec: string
  readonly codedWidth_px: number
  readonly codedHeight_px: number
  /** Clockwise turn that makes the coded frame upright; pictures come unturned, the page turns them. */
  readonly rotation_deg: Rotation
  /** True when the turned picture must also be mirrored left to right. */
  readonly mirrored: boolean
  /** Size of the turned picture in coded pixels: marks live in this picture. */
  readonly displayedWidth_px: number
  readonly displayedHeight_px: number
  /** Width of a pixel over its height; 1 for nearly all clips. */
  readonly pixelAspect: number
  readonly bitDepth: number
  readonly frames: number
  /** Ticks per second of `ticks`; 0 when the source carries no time at all (stills). */
  readonly timescale_hz: number
  /** Presentation time of every frame in whole ticks. */
  readonly ticks: Float64Array
  readonly intervals: IntervalStatistics
  /** Mean frame rate of the timestamps; null when the source carries no time. */
  readonly fileRate_hz: number | null
  /** Rate at which the camera says it filmed; null when the file has no such tag. */
  readonly filmingRateTag_hz: number | null
  /** Half-open rounding step of the container's timestamps [s] when coarser than its ticks deserve (Matroska: 0.001); else 0. */
  readonly timestampsRounded_s: number
  readonly decoder: DecoderName
  /** Why this decoder serves the clip, as a sentence. */
  readonly decoderReason: string
  /** Seconds that one new frame is expected to take; null for the quick ways. */
  readonly expectedFrame_s: number | null
  readonly damage: Damage | null
}

/** Why a source did not open; each carries the values its sentence needs. */
export type Refusal =
  | { readonly kind: 'empty-file'; readonly name: string }
  | { readonly kind: 'not-a-video'; readonly name: string; readonly looksLike: string }
  | { readonly kind: 'no-video-track'; readonly name: string; readonly container: string }
  | {
      readonly kind: 'damaged-no-index'
      readonly name: string
      readonly container: string
      readonly size_bytes: number
    }
  | { readonly kind: 'no-frames'; readonly name: string; readonly codec: string }
  | { readonly kind: 'no-decoder'; readonly name: string; readonly codec: string; readonly tried: readonly string[] }
  | { readonly kind: 'stills-unnumbered'; readonly name: string }
  | { readonly kind: 'unreadable'; readonly name: string; readonly cause: string }
  | { readonly kind: 'cancelled' }

export type Refused = Refusal & { readonly sentence: string }

/** How far an opening has come; `fraction` is null while it cannot be told. */
export interface OpenProgress {
  readonly step: 'reading' | 'loading-decoder' | 'indexing' | 'first-frame'
  readonly fraction: number | null
}
