import type { DecoderName } from './clip-facts.ts'
import type { Planes } from './planes.ts'

/** One output of a decoder: which frame it is and its picture, or null where only passing by was asked for. */
export interface DecodedFrame {
  readonly frame: number
  readonly planes: Planes | null
}

/** A decoder running forward. Frames come in the order they are shown; a number that is skipped has no picture. */
export interface FrameRun {
  /** The lowest frame this run can show. */
  readonly first: number
  /** The next output, or `end` when the clip is over. Throws `DecodeFailure` when the decoder gives up. */
  next(): Promise<DecodedFrame | 'end'>
  /** From now on, pictures below `frame` need not be copied. */
  keepFrom(frame: number): void
  close(): void
}

/** A way from the bytes of one clip to its pictures. */
export interface PictureSource {
  readonly decoder: DecoderName
  /** How many frames a run works ahead of its reader. */
  readonly readAhead: number
  /** The frame a decode has to begin with in order to show `frame`: never after it. */
  startFor(frame: number): Promise<number>
  /** A run that will pass `frame`; pictures below `keepFrom` may be left out. */
  run(frame: number, keepFrom: number): Promise<FrameRun>
  /** A second, independent way to the same pictures, closed on its own. */
  fork(): PictureSource
  close(): void
}

/** A decoder gave up on the data; another one may still manage. */
export class DecodeFailure extends Error {
  override readonly name = 'DecodeFailure'
}
