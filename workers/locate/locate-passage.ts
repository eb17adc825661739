import { coarseShift } from './coarse.ts'
import { Doubt, type DoubtBits, type GapReason } from './doubts.ts'
import { fitSide, type SideFit } from './edge-fit.ts'
import { collectSide, type BandFrame, type EdgePixels, type LaneCircle } from './edge-pixels.ts'
import type { Passage } from './learn.ts'
import { median, robustScatter, trendAt } from './robust.ts'
import { sampleLook } from './spin-series.ts'

/** One frame's ball as measured on its own: no other frame moves it. */
export interface RawMark {
  readonly frame: number
  /** Arc length of the centre along the lane's line, px. */
  readonly s: number
  readonly across: number
  readonly radius: number
  readonly doubt: DoubtBits
  /** σ from the fit alone, px: too small by 2 … 5, used only to rank marks. */
  readonly formal: number
  /** Cramér–Rao bound from pixel noise and edge, px. */
  readonly bound: number
  /** Length over which motion smears the ball, px; 0 where its edges are sharp. */
  readonly smear_px: number
  /** Measured half-width less the learned radius, px; NaN where one edge served. */
  readonly halfWidth: number
  /** The ball's face as sampled for reading its turning. */
  readonly look: Uint8Array
}

export interface Located {
  readonly marks: readonly RawMark[]
  readonly refused: readonly { readonly frame: number; readonly reason: GapReason }[]
}

export interface PassageFrame {
  readonly band: BandFrame
  /** Frame number in the clip. */
  readonly frame: number
  /** Real time, s. */
  readonly time_s: number
  /** Where the search has the ball, arc length px. */
  readonly s: number
  /** Distance to the nearest other ball found in this frame, px. */
  readonly nearest: number
}

interface Fitted {
  readonly at: PassageFrame
  readonly s: number
  readonly circle: LaneCircle
  readonly left: SideFit | undefined
  readonly right: SideFit | undefined
}

/** Where the marks just before would have this one: a straight line through the last few, search only. */
class Guess {
  private readonly time: number[] = []
  private readonly s: number[] = []

  add(time: number, s: number): void {
    this.time.push(time)
    this.s.push(s)
    if (this.time.length > 6) {
      this.time.shift()
      this.s.shift()
    }
  }

  at(time: number): number | undefined {
    const n = this.time.length
    if (n < 4) return undefined
    const t0 = this.time.reduce((a, b) => a + b, 0) / n
    const s0 = this.s.reduce((a, b) => a + b, 0) / n
    let tt = 0
    let ts = 0
    for (let i = 0; i < n; i++) {
      tt += (this.time[i]! - t0) ** 2
      ts += (this.time[i]! - t0) * (this.s[i]! - s0)
    }
    const span = this.time[n - 1]! - this.time[0]!
    if (!(tt > 0) || time - this.time[n - 1]! > 2 * span) return undefined
    return s0 + (ts / tt) * (time - t0)
  }
}

/** Measures the ball in every frame of a passage with what the passage taught. */
export function locatePassage(
  frames: readonly PassageFrame[],
  passage: Passage,
  noise: number,
  pixels: readonly [EdgePixels, EdgePixels],
): Located {
  const guess = new Guess()
  const fitted = frames.map((at) => {
    const outcome = fitFrame(at, guess.at(at.time_s), passage, noise, pixels)
    if (outcome.left && outcome.right && Math.abs(widthOff(outcome)) < 0.8) guess.add(at.time_s, outcome.s)
    return outcome
  })
  return judge(fitted, passage, noise)
}

/** The circle that is read around a place. */
function circleAt(passage: Passage, s: number): LaneCircle {
  return { s, across: trendAt(passage.across, s) + passage.readLower, radius: trendAt(passage.radius, s) }
}

/** A ball is mostly found so near to where the marks before have it, px: no pixels further out need be looked at. */
const NEAR_GUESS = 0.6

function fitFrame(
  at: PassageFrame,
  guess: number | undefined,
  passage: Passage,
  noise: number,
  pixels: readonly [EdgePixels, EdgePixels],
): Fitted {
  const tryAt = (s: number, slack: number): Fitted => {
    const circle = circleAt(passage, s)
    const { rowsFrom, rowsTo, every } = passage.reading
    collectSide(at.band, circle, -1, rowsFrom, rowsTo, slack, pixels[0], every)
    collectSide(at.band, circle, 1, rowsFrom, rowsTo, slack, pixels[1], every)
    const left = fitSide(pixels[0], circle.radius, passage.shape, noise, passage.usual[0], passage.misfit)
    const right = fitSide(pixels[1], circle.radius, passage.shape, noise, passage.usual[1], passage.misfit)
    const mid = left && right ? (left.shift + right.shift) / 2 : (left?.shift ?? right?.shift ?? 0)
    return { at, s: s + mid, circle, left, right }
  }
  const radius = trendAt(passage.radius, at.s)
  const seen = guess !== undefined && Math.abs(guess - at.s) < 0.5 * radius ? guess : at.s
  if (guess !== undefined && seen === guess) {
    const direct = tryAt(guess, NEAR_GUESS)
    if (Math.abs(direct.s - guess) < NEAR_GUESS && direct.left && direct.right && Math.abs(widthOff(direct)) < 0.6)
      return direct
  }
  const circle = circleAt(passage, seen)
  const coarse = coarseShift(at.band, circle, Math.max(6, Math.round(0.5 * radius)))
  const found = tryAt(seen + coarse.shift, 1.5)
  if (guess === undefined || Math.abs(guess - seen - coarse.shift) < 1.5) return found
  // Half hidden balls mislead the coarse step: the place foreseen may show one good edge.
  const foreseen = tryAt(guess, 1.5)
  return score(foreseen) > score(found) ? foreseen : found
}

function widthOff(fit: Fitted): number {
  return fit.left && fit.right ? (fit.right.shift - fit.left.shift) / 2 : NaN
}

function score(fit: Fitted): number {
  const one = (side: SideFit | undefined): number => (side ? side.contrast / side.misfit : 0)
  return one(fit.left) + one(fit.right)
}

/** How much more alike than their own fits say the two sides count, in their usual σ². */
const EVEN = 2

interface Usual {
  readonly sigma: number
  readonly misfit: number
  readonly contrast: number
  readonly width: number
  readonly widthScatter: number
}

function usual(fitted: readonly Fitted[]): Usual {
  const both = fitted.filter((f) => f.left && f.right && Math.abs(widthOff(f)) < 1)
  const sides = both.flatMap((f) => [f.left!, f.right!])
  const widths = both.map(widthOff)
  return {
    sigma: median(sides.map((side) => side.sigma)),
    misfit: median(sides.map((side) => side.misfit)),
    contrast: median(sides.map((side) => side.contrast)),
    width: median(widths),
    widthScatter: Math.max(0.03, robustScatter(widths)),
  }
}

function sideIsGood(side: SideFit | undefined, is: Usual, fullRows: number): side is SideFit {
  if (!side) return false
  if (side.usedRows < 0.6 * fullRows) return false
  if (side.sigma > 4 * is.sigma) return false
  if (side.contrast < 0.35 * is.contrast) return false
  return side.misfit <= 2.5 * is.misfit && Math.abs(side.shift) < 3
}

/** Half-widths further than this from the usual one are no ball's. */
const mostOff = (is: Usual): number => Math.max(0.4, 5 * is.widthScatter)

/** A ball that shows one edge is placed by the width that the nearest so many frames with two edges showed, none further away than so many radii. */
const NEAR_SIGHTINGS = 8
const NEAR_RADII = 2
const FEWEST_NEAR = 4

/** Half-width by place: what the background does to one edge it often does to the other. The usual one where few frames near by show two edges. */
function widthsAlong(fitted: readonly Fitted[], is: Usual): (circle: LaneCircle) => number {
  const seen = fitted
    .filter((fit) => Math.abs(widthOff(fit) - is.width) <= mostOff(is))
    .map((fit) => ({ s: fit.circle.s, width: widthOff(fit) }))
  return ({ s, radius }) => {
    const near = seen
      .map(({ s: there, width }) => ({ width, away: Math.abs(there - s) }))
      .filter(({ away }) => away < NEAR_RADII * radius)
      .sort((a, b) => a.away - b.away)
      .slice(0, NEAR_SIGHTINGS)
    return near.length < FEWEST_NEAR ? is.width : median(near.map(({ width }) => width))
  }
}

function judge(fitted: readonly Fitted[], passage: Passage, noise: number): Located {
  const is = usual(fitted)
  const fullRows = median(fitted.map((f) => Math.max(f.left?.rows ?? 0, f.right?.rows ?? 0)))
  const good = fitted.map(({ at, s, circle, left, right }) => ({
    at,
    s,
    circle,
    seen: left !== undefined || right !== undefined,
    left: sideIsGood(left, is, fullRows) ? left : undefined,
    right: sideIsGood(right, is, fullRows) ? right : undefined,
  }))
  const widthNear = widthsAlong(good, is)
  const marks: RawMark[] = []
  const refused: { frame: number; reason: GapReason }[] = []
  for (const { at, circle, left, right, seen } of good) {
    if (at.nearest < 2 * circle.radius + 12) {
      refused.push({ frame: at.frame, reason: 'too-close' })
      continue
    }
    const centre = circle.s
    let doubt: DoubtBits = at.nearest < 3 * circle.radius + 12 ? Doubt.neighbour : 0
    let s: number
    let formal: number
    let information: number
    let halfWidth = NaN
    if (left && right) {
      halfWidth = (right.shift - left.shift) / 2
      const off = Math.abs(halfWidth - is.width)
      if (off > mostOff(is)) {
        refused.push({ frame: at.frame, reason: 'width-off' })
        continue
      }
      if (off > 3 * is.widthScatter) doubt |= Doubt.poorFit
      // The surer side has more say, but never all of it: an error of the learned width cancels only between equals.
      const floor = EVEN * is.sigma ** 2
      const share = (floor + right.sigma ** 2) / (2 * floor + left.sigma ** 2 + right.sigma ** 2)
      s = centre + share * (left.shift + is.width) + (1 - share) * (right.shift - is.width)
      formal = Math.hypot(share * left.sigma, (1 - share) * right.sigma)
      information = left.information + right.information
      // Little contrast alone does not harm; little contrast that leaves the place open does.
      const open = Math.max(left.sigma, right.sigma) > 2 * is.sigma
      if (open && Math.min(left.contrast, right.contrast) < 0.6 * is.contrast) doubt |= Doubt.weakContrast
      if (Math.max(left.misfit, right.misfit) > 1.8 * is.misfit) doubt |= Doubt.poorFit
    } else if (left ?? right) {
      const side = (left ?? right)!
      s = centre + side.shift + (left ? widthNear(circle) : -widthNear(circle))
      formal = side.sigma
      information = side.information
      doubt |= Doubt.oneEdge
    } else {
      refused.push({ frame: at.frame, reason: seen ? 'hidden' : 'not-seen' })
      continue
    }
    const across = trendAt(passage.across, circle.s)
    marks.push({
      frame: at.frame,
      s,
      across,
      radius: trendAt(passage.radius, s) + passage.radiusInLight,
      doubt,
      formal,
      // Of all pixels that show the outline, not of those that served.
      bound: noise / Math.sqrt(Math.max(1e-9, information * passage.reading.every)),
      smear_px: 0,
      halfWidth,
      look: sampleLook(at.band, { s, across, radius: circle.radius }),
    })
  }
  return { marks, refused }
}
