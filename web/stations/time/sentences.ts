import type { BlinkReading } from '../../../workers/measure/blink-rate.ts'
import type { PiecesProposal } from '../../../workers/measure/rate-pieces.ts'
import type { Clip } from '../../../workers/record/index.ts'
import { showPlain } from '../../format/value.ts'

export const lampNotReadable = (name: string): string =>
  `The file of “${name}” is not at hand, so its frames cannot be read. Choose the file again, then draw the box.`

export const lampOutside = 'This box lies outside the picture. Draw it inside.'

export const blinkFault = (blink_hz: number): string | undefined =>
  blink_hz > 0 && blink_hz <= 1e5
    ? undefined
    : `${showPlain(blink_hz)} times a second cannot be. Type how often the light blinks, more than 0.`

/** What a lamp series shows by itself, before anybody says how fast the lamp blinks. */
export function blinkSentence(blink: Extract<BlinkReading, { kind: 'blink' }>): string {
  const period = 1 / blink.frequency
  const U = (2 * blink.u) / blink.frequency ** 2
  const seen = `${showPlain(blink.cycles, 3)} cycles are seen, one every ${showPlain(period, 6)} ± ${showPlain(U, 2)} frames`
  return blink.by === 'edges'
    ? `The lamp goes on and off: ${seen}.`
    : `The brightness swings by ± ${showPlain(blink.amplitude, 2)} grey levels: ${seen}.`
}

export const foldedAdvice =
  'A light that blinks faster than half the filming rate looks slower than it is; a blink of a few times a second cannot be misread.'

export const rateFault = (rate_hz: number): string | undefined =>
  rate_hz > 0 && rate_hz <= 1e6
    ? undefined
    : `${showPlain(rate_hz)} frames per second cannot be. Type the rate the camera filmed at, for example 240.`

export function cutFault(frame: number, room: { readonly least: number; readonly most: number }): string | undefined {
  return frame >= room.least && frame <= room.most
    ? undefined
    : `The cut cannot lie at frame ${showPlain(frame)}: between its neighbours there are frames ${room.least} to ${room.most}.`
}

/** What the timestamps say about pieces of a clip. */
export function piecesSentence(proposal: Extract<PiecesProposal, { kind: 'pieces' }>, clip: Clip): string {
  const from = proposal.pieces.slice(1).map((piece) => piece.fromFrame)
  const where = from.length === 1 ? `at frame ${from[0]}` : `at frames ${from.join(', ')}`
  const plays = proposal.file.map((piece) => showPlain(piece.rate_hz, 4)).join(', then ')
  const slowed = proposal.file.map((piece) => piece.slowed)
  const first = proposal.pieces[0]?.rate_hz ?? 0
  const filmed = slowed.some((by) => by > 1)
    ? `The camera filmed all of it at ${showPlain(first, 4)}${clip.filmingRateTag_hz === null ? ', the fastest of them' : ', says its tag'}; the file slows ${slowed.map((by) => (by === 1 ? 'no' : `${by} times`)).join(', ')} in turn.`
    : 'These are no whole multiples of one another, so each is taken as it is timed.'
  return `The timestamps change pace ${where}: ${plays} frames per second. ${filmed}`
}

/** A sensor cannot take longer for a picture than there is between two. */
export function readoutFault(readout_s: number, frame_s: number | null): string | undefined {
  if (!(readout_s >= 0)) return 'The time from row to row cannot be less than 0.'
  return frame_s !== null && readout_s > 1.02 * frame_s
    ? `Then one picture would take ${showPlain(1000 * readout_s, 3)} ms to read, but a frame lasts only ${showPlain(1000 * frame_s, 3)} ms. Type a shorter time from row to row.`
    : undefined
}
