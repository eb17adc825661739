import { shortestBar_px } from '../../../workers/measure/camera-plane.ts'
import { sentenceForString } from '../../../workers/measure/note-sentences.ts'
import type { StringReading } from '../../../workers/measure/string-line.ts'
import { showPlain } from '../../format/value.ts'
import type { NoLook } from './reading.ts'

/** Why nothing was looked at in the picture; what was placed stays as placed. */
export function noLookSentence(why: NoLook): string {
  switch (why.why) {
    case 'no-frames':
      return 'The clip is not open, so the points stay exactly as placed.'
    case 'mirrored':
      return 'This clip is shown mirrored, so the points stay exactly as placed.'
    case 'missing-frame':
      return 'This frame holds no picture, so the points stay exactly as placed.'
    case 'too-slow':
      return 'The frame did not come in time, so the points stay exactly as placed.'
  }
}

/** What became of a string or level edge that was placed. */
export const lineReadSentence = (reading: Extract<StringReading, { kind: 'string' }>, what: string): string =>
  `Settled on the ${what}: seen at ${reading.seen} of ${reading.of} places.`

export const lineNotReadSentence = (problem: Exclude<StringReading, { kind: 'string' }>): string =>
  `${sentenceForString(problem)} It stays as placed.`

export const cornersSentence = (settled: number, of: number, u_px: number): string =>
  settled === of
    ? `All ${of} settled on what is seen, to ± ${showPlain(2 * u_px, 2)} px.`
    : settled === 0
      ? 'Nothing clear is seen at these points; they stay as placed.'
      : `${settled} of ${of} settled on what is seen; the others stay as placed. Look at them with the loupe.`

/** Two ends of a bar too near each other; undefined where they serve. */
export function barFault(a: { x: number; y: number }, b: { x: number; y: number }): string | undefined {
  const px = Math.hypot(b.x - a.x, b.y - a.y)
  if (px >= shortestBar_px) return undefined
  return `These ends are ${showPlain(px, 3)} px apart; ${shortestBar_px} are needed. Use a longer bar, or film it from nearer.`
}

export const lengthFault = (length_m: number): string | undefined =>
  length_m > 0 ? undefined : `A length of ${showPlain(1000 * length_m)} mm cannot be. Type one greater than 0 mm.`

export const edgeReadSentence = (places: number, of: number, u_px: number): string =>
  `Followed along the edge at ${places} of ${of} places, ± ${showPlain(2 * u_px, 2)} px each.`

export const stepFault = (step_m: number): string | undefined =>
  step_m !== 0 ? undefined : 'Ticks 0 mm apart cannot be. Type the distance from tick to tick.'
