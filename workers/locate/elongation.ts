import { pointAt } from './lane-line.ts'
import type { PassageFrame } from './locate-passage.ts'
import { median } from './robust.ts'
import { columnAt } from './strip.ts'

/** How a thing that moves along a lane is longer than it is high: a ball that smears, or two balls that touch. */
export type Elongation =
  | { readonly kind: 'round' }
  /** Longer than high by so much, its middle so far from the lane's line, px. */
  | { readonly kind: 'smeared'; readonly by_px: number; readonly across_px: number }
  | { readonly kind: 'two-balls' }

const LOOKED = 25
/** Places along the thing [half lengths] at which it is looked at. */
const PLACES = [-0.5, -0.25, 0, 0.25, 0.5] as const
/** Share of the level near the line that still counts as the thing itself. */
const TOP_SHARE = 0.4
/** Between two balls that touch, this high over the line [half lengths], the empty lane is seen: less than this share of what the balls show. */
const NOTCH = [0.3, 0.45] as const
const NOTCH_SHARE = 0.35
/** Two balls side by side are half as high as they are long; at most this share of half their length. */
const PAIR_HEIGHT = 0.75
/** Grey levels that a thing must differ by to be judged. */
const CLEAR = 8

interface Look {
  /** Mean difference from the empty lane at the height of the notch, place by place. */
  readonly atNotch: readonly number[]
  /** Height over the line, px; undefined where nothing differs clearly. */
  readonly height: number | undefined
}

/** Judges a passage by its height above the lane's line, which motion along the lane leaves alone, and by the gap between two balls.
 *  `half_px`: half its length as fitted; `fitted_px`: its middle's distance from the line as fitted, which means little unless it is round. */
export function elongationOf(frames: readonly PassageFrame[], half_px: number, fitted_px: number): Elongation {
  // Below the line at most: a middle fitted above it would make what is longer than high still lower.
  const across_px = Math.max(0, fitted_px)
  const alone = frames.filter((frame) => frame.nearest > 3 * half_px)
  const step = Math.max(1, alone.length / LOOKED)
  const looks: Look[] = []
  for (let i = 0; i < alone.length; i += step) looks.push(lookAt(alone[Math.floor(i)]!, half_px, across_px))
  if (looks.length < 5) return { kind: 'round' }
  const level = PLACES.map((_, place) => median(looks.map(({ atNotch }) => atNotch[place]!)))
  const [left = 0, , middle = 0, , right = 0] = level
  const sides = Math.min(left, right)
  const heights = looks.flatMap(({ height }) => (height === undefined ? [] : [height]))
  if (heights.length < 5) return { kind: 'round' }
  const height = median(heights)
  // A ball with a spot as bright as the wall has its notch, and polished steel its low top: two balls have both.
  const notched = sides > CLEAR && middle < NOTCH_SHARE * sides
  if (notched && height < PAIR_HEIGHT * half_px) return { kind: 'two-balls' }
  const by_px = 2 * (half_px - height)
  // Half a radius is what shading, a pale top or a line drawn beside the path can do; no smear is longer than the way from frame to frame.
  const smears = by_px > Math.max(3, 0.5 * height) && by_px < 1.15 * wayPerFrame(frames)
  return smears ? { kind: 'smeared', by_px, across_px } : { kind: 'round' }
}

function wayPerFrame(frames: readonly PassageFrame[]): number {
  return median(
    frames.slice(1).flatMap((frame, i) => {
      const before = frames[i]!
      return frame.frame === before.frame + 1 ? [Math.abs(frame.s - before.s)] : []
    }),
  )
}

function lookAt(at: PassageFrame, half: number, across: number): Look {
  let height: number | undefined
  const atNotch = PLACES.map((place) => {
    const profile = upwardProfile(at, at.s + place * half, half, across)
    const mean = (from: number, to: number): number => {
      const some = profile.filter(({ over }) => over >= from * half && over <= to * half)
      return some.length === 0 ? 0 : some.reduce((sum, { difference }) => sum + difference, 0) / some.length
    }
    const top = topOf(profile, mean(-0.3, 0.3))
    if (top !== undefined && (height === undefined || top > height)) height = top
    return mean(...NOTCH)
  })
  return { atNotch, height: height === undefined ? undefined : height + 0.5 }
}

interface Row {
  /** Height over the ball's centre, px. */
  readonly over: number
  readonly difference: number
}

/** How much three columns of pixels differ from the empty lane, from a little below the centre upwards. */
function upwardProfile(at: PassageFrame, s: number, half: number, across: number): Row[] {
  const { chunk, frame, level } = at.band
  const { strip, scale } = chunk
  const { rows, columns, x, y, source } = strip
  const column = Math.round(columnAt(strip, s))
  const window = chunk.window(frame, column)
  if (!window || column < 1 || column >= columns - 1) return []
  const on = pointAt(strip.line, s)
  const profile: Row[] = []
  for (let k = 0; k < rows; k++) {
    let sum = 0
    let n = 0
    for (let c = Math.max(window.from, column - 1); c <= Math.min(window.to - 1, column + 1); c++) {
      const cell = c * rows + k
      if (source[cell]! < 0) continue
      sum += Math.abs(window.data[window.base + cell]! * scale - level[cell]!)
      n++
    }
    const cell = column * rows + k
    const over = across - (-(x[cell]! - on.x) * on.ty + (y[cell]! - on.y) * on.tx)
    if (n > 0 && over > -0.3 * half) profile.push({ over, difference: sum / n })
  }
  return profile.sort((a, b) => a.over - b.over)
}

/** From the middle upwards to where the difference is gone for two rows. */
function topOf(profile: readonly Row[], inside: number): number | undefined {
  if (!(inside > CLEAR)) return undefined
  let top = 0
  let missing = 0
  for (const { over, difference } of profile) {
    if (over < 0) continue
    if (difference >= TOP_SHARE * inside) {
      top = over
      missing = 0
    } else if (++missing > 1) break
  }
  return top
}
