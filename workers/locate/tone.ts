/**
 * What a grey level means: a lens mixes ball and wall at an outline in light, not in grey levels, so that in these a dark ball before a bright wall
 * seems smaller, and most so on its dark side. `value` grows like the 1.7th power of the grey level's share of white, in units in which middle grey
 * changes as fast as the grey level does; `slope` is grey levels per unit. Indexed by `toneIndex`.
 */
export interface Tone {
  /** Grey levels of black and white on the scale 0 … 255. */
  readonly black: number
  readonly white: number
  readonly value: Float64Array
  readonly slope: Float64Array
}

/** Between 2 (ITU-R BT.709's curve as a whole) and 1 (grey levels themselves, which noise filters and codecs blur). On rendered clips with known truth
 *  the place is least off at 2 without compression and at 1.5 with much of it. */
export const TONE_EXPONENT = 1.7
/** Darker than this share of white a grey level's light is too small to be told from noise: the curve goes on straight. */
export const DARKEST = 0.08
const STEPS_PER_GREY = 8
/** A frame darkened by flicker is made brighter than white. */
const BRIGHTEST = 512

/** Place in the tables of a grey level (0 … 511). */
export function toneIndex(grey: number): number {
  const at = (grey * STEPS_PER_GREY + 0.5) | 0
  return at < BRIGHTEST * STEPS_PER_GREY ? at : BRIGHTEST * STEPS_PER_GREY - 1
}

/** `fullRange`: whether 0 and 255 are black and white, not 16 and 235. Sources: JFIF 1.02, from memory, and ITU-R BT.709-6. */
export function toneOf(fullRange = false): Tone {
  return fullRange ? fullRangeTone : videoTone
}

function makeTone(black: number, white: number): Tone {
  const span = white - black
  const slopeAt = (share: number): number => Math.pow(share / 0.5, TONE_EXPONENT - 1)
  const value = new Float64Array(BRIGHTEST * STEPS_PER_GREY)
  const slope = new Float64Array(BRIGHTEST * STEPS_PER_GREY)
  for (let at = 0; at < value.length; at++) {
    const share = (at / STEPS_PER_GREY - black) / span
    const bright = Math.max(DARKEST, share)
    value[at] = span * slopeAt(bright) * (bright / TONE_EXPONENT + share - bright)
    slope[at] = 1 / slopeAt(bright)
  }
  return { black, white, value, slope }
}

const videoTone = makeTone(16, 235)
const fullRangeTone = makeTone(0, 255)
