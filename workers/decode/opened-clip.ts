import type { ClipFacts, Damage, OpenProgress, Refusal } from './clip-facts.ts'
import type { ClipPictures } from './clip-pictures.ts'

/** A clip that is open in this thread. */
export interface OpenedClip {
  readonly files: readonly File[]
  readonly facts: ClipFacts
  readonly pictures: ClipPictures
  close(): void
}

export type OpenResult = { readonly kind: 'open'; readonly clip: OpenedClip } | Refusal

/** Which reader takes a container apart: the usual one, or ffmpeg for whatever the usual one did not come to an end with. */
export type ReaderChoice = 'usual' | 'forgiving'

/** What opening needs from its surroundings. */
export interface OpenContext {
  readonly signal: AbortSignal
  readonly reader: ReaderChoice
  readonly onProgress: (progress: OpenProgress) => void
  /** Told when the facts of an open clip change: damage was met, or another decoder took over. */
  readonly onFacts: (change: FactsChange) => void
  readonly cacheBudget_bytes: number
}

export type FactsChange = Partial<Pick<ClipFacts, 'decoder' | 'decoderReason' | 'expectedFrame_s'>> & {
  readonly damage?: Damage
}
