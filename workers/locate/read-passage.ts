import { Doubt } from './doubts.ts'
import type { EdgePixels } from './edge-pixels.ts'
import { learnPassage, type Passage, type Sighting } from './learn.ts'
import { locatePassage, type Located, type PassageFrame } from './locate-passage.ts'
import { seenThrough, usualReading, type Reading } from './reading.ts'
import { arcAt } from './strip.ts'

/** So many rows of an outline place it nearly as well as all: what a codec does to one row it does to the next. On rendered clips with known truth
 *  balls of 17 … 24 px scatter by 3 % more with every second row. */
const ENOUGH_ROWS = 10
/** A ball that shows two edges in a smaller share of its frames (smeared, two in one) needs all its rows. */
const EASY = 0.8
/** A round ball of whose marks a larger share is doubted may be one that is seen through: on rendered clips .38 … .51 of glass balls', at most .29 of
 *  others' but for frames blended of two, .66, where the second reading is no clearer. */
const MUCH_DOUBTED = 0.35
const UNCLEAR = Doubt.oneEdge | Doubt.weakContrast | Doubt.poorFit

export interface Read {
  readonly passage: Passage
  readonly located: Located
}

interface FirstRead {
  readonly passage: Passage | undefined
  readonly located: Located | undefined
  /** Marks that rest on two edges. */
  readonly bothEdges: number
}

/** Learns a passage and places its ball in every frame, by some rows of its outlines where they suffice. */
export function readPassage(
  frames: readonly PassageFrame[],
  radius: number,
  noise: number,
  pixels: readonly [EdgePixels, EdgePixels],
): FirstRead {
  const sightings = pickSightings(frames, radius, usualReading.sightings)
  const by = (reading: Reading): FirstRead => {
    const passage = learnPassage(sightings, { radius, across: 0 }, noise, pixels, reading)
    const located = passage && locatePassage(frames, passage, noise, pixels)
    const bothEdges = located ? located.marks.filter((mark) => !Number.isNaN(mark.halfWidth)).length : 0
    return { passage, located, bothEdges }
  }
  const { rowsFrom, rowsTo } = usualReading
  const every = Math.max(1, Math.floor(((rowsTo - rowsFrom) * radius) / ENOUGH_ROWS))
  const some = by({ ...usualReading, every })
  return every > 1 && some.bothEdges < EASY * frames.length ? by(usualReading) : some
}

/** Reads a ball of whose marks many are doubted as one that is seen through, and keeps what is clearer then. */
export function readAgain(
  frames: readonly PassageFrame[],
  first: Read,
  radius: number,
  noise: number,
  pixels: readonly [EdgePixels, EdgePixels],
): Read {
  const doubted = doubtedShare(first.located)
  if (doubted <= MUCH_DOUBTED) return first
  const sightings = pickSightings(frames, radius, seenThrough.sightings)
  const passage = learnPassage(sightings, { radius, across: 0 }, noise, pixels, seenThrough)
  if (!passage) return first
  const located = locatePassage(frames, passage, noise, pixels)
  return doubtedShare(located) < doubted ? { passage, located: surest(first.located, located) } : first
}

/** Of each frame the mark read again where that is clear; else the one read first, which is not clear then either. */
export function surest(first: Located, again: Located): Located {
  const clear = new Map(again.marks.filter(({ doubt }) => (doubt & UNCLEAR) === 0).map((mark) => [mark.frame, mark]))
  const others = first.marks.filter(({ frame }) => !clear.has(frame))
  const marks = [...clear.values(), ...others.map((mark) => ({ ...mark, doubt: mark.doubt | Doubt.poorFit }))]
  return {
    marks: marks.sort((a, b) => a.frame - b.frame),
    refused: first.refused.filter(({ frame }) => !clear.has(frame)),
  }
}

function doubtedShare({ marks }: Located): number {
  return marks.filter(({ doubt }) => (doubt & UNCLEAR) !== 0).length / marks.length
}

/** Sightings spread evenly over the way, none near another ball; of a ball that the picture cuts off only where there are no others. */
function pickSightings(frames: readonly PassageFrame[], radius: number, most: number): Sighting[] {
  const apart = frames.filter((frame) => frame.nearest > 3 * radius + 12)
  const whole = apart.filter(({ band: { chunk }, s }) => {
    const { strip } = chunk
    const [from, to] = [arcAt(strip, strip.insideFrom), arcAt(strip, strip.insideTo - 1)]
    return s > from + 1.2 * radius && s < to - 1.2 * radius
  })
  const alone = whole.length < 8 ? apart : whole
  if (alone.length <= most) return alone.map(({ band, s }) => ({ band, s }))
  const way = new Float64Array(alone.length)
  for (let i = 1; i < alone.length; i++) way[i] = way[i - 1]! + Math.abs(alone[i]!.s - alone[i - 1]!.s) + 0.05
  const picked: Sighting[] = []
  let at = 0
  for (let k = 0; k < most; k++) {
    const target = ((k + 0.5) / most) * way[alone.length - 1]!
    while (at < alone.length - 1 && way[at]! < target) at++
    picked.push({ band: alone[at]!.band, s: alone[at]!.s })
  }
  return picked
}
