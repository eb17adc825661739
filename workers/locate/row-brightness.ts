import type { EdgePixels } from './edge-pixels.ts'
import { median } from './robust.ts'

/** What a passage's ball shows just inside one side of its outline, by height: brightness at the outline and its change inwards, each with
 *  how much it varies as the ball turns and the light changes. Heights without enough sightings hold NaN. */
export interface RowBrightness {
  readonly level: Float64Array
  readonly tilt: Float64Array
  readonly levelVariance: Float64Array
  readonly tiltVariance: Float64Array
  /** How much it binds a row, against what the row's own pixels say. */
  readonly binding: number
}

const STEPS_PER_RADIUS = 8
const HEIGHTS = 2 * STEPS_PER_RADIUS + 1
const FEWEST = 8
/** Tone, and tone per px, by which a ball may differ from what it showed before, however alike its looks were. */
const LEAST_LEVEL = 1
const LEAST_TILT = 0.15

/** Index of a row by its distance across from the ball's centre, as a share of the radius (−1 … 1). */
export function heightIndex(share: number): number {
  return Math.round((share + 1) * STEPS_PER_RADIUS)
}

interface Seen {
  readonly level: number
  readonly tilt: number
  readonly levelVariance: number
  readonly tiltVariance: number
}

/** Collects the rows of outlines that were fitted with brightness free. */
export class RowBrightnessLearner {
  private readonly seen: Seen[][] = Array.from({ length: HEIGHTS }, () => [])

  /** Takes what `fitSide` left in the work space of its pixels. */
  add(pixels: EdgePixels, radius: number, misfit: number): void {
    const { rowInfo, level, tilt, levelLoose, tiltLoose } = pixels.work
    for (let row = 0; row < pixels.rowCount; row++) {
      if (!(rowInfo[row]! > 0)) continue
      this.seen[heightIndex(pixels.across[pixels.rowStart[row]!]! / radius)]?.push({
        level: level[row]!,
        tilt: tilt[row]!,
        levelVariance: misfit * misfit * levelLoose[row]!,
        tiltVariance: misfit * misfit * tiltLoose[row]!,
      })
    }
  }

  /** Robust middle and spread by height; the fits' own uncertainty is taken out of the spread. */
  learned(binding: number): RowBrightness {
    const none = (): Float64Array => new Float64Array(HEIGHTS).fill(NaN)
    const out = { level: none(), tilt: none(), levelVariance: none(), tiltVariance: none(), binding }
    this.seen.forEach((rows, at) => {
      if (rows.length < FEWEST) return
      const middle = (of: (row: Seen) => number): number => median(rows.map(of))
      const level = middle((row) => row.level)
      const tilt = middle((row) => row.tilt)
      const levelSpread = 1.4826 * middle((row) => Math.abs(row.level - level))
      const tiltSpread = 1.4826 * middle((row) => Math.abs(row.tilt - tilt))
      out.level[at] = level
      out.tilt[at] = tilt
      out.levelVariance[at] = Math.max(LEAST_LEVEL ** 2, levelSpread ** 2 - middle((row) => row.levelVariance))
      out.tiltVariance[at] = Math.max(LEAST_TILT ** 2, tiltSpread ** 2 - middle((row) => row.tiltVariance))
    })
    return out
  }
}
