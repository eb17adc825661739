import { coarseShift } from './coarse.ts'
import { fitCircle } from './circle-fit.ts'
import { collectSide, type BandFrame, type EdgePixels, type LaneCircle } from './edge-pixels.ts'
import { EdgeShapeLearner, gaussianEdge, shapeAt, type EdgeShape } from './edge-shape.ts'
import { fitSide } from './edge-fit.ts'
import { RowBrightnessLearner, type RowBrightness } from './row-brightness.ts'
import type { Reading } from './reading.ts'
import { RowAgreement } from './row-agreement.ts'
import { fitTrend, robustScatter, trendAt, median, type Trend } from './robust.ts'
import { TONE_EXPONENT } from './tone.ts'

/** What a passage teaches about its ball: radius and height over the line along the lane, and the edge's shape. */
export interface Passage {
  readonly radius: Trend
  readonly across: Trend
  /** How much lower than that its outline is read, px. */
  readonly readLower: number
  readonly shape: EdgeShape
  /** What the ball usually shows inside its outline, left and right. */
  readonly usual: readonly [RowBrightness, RowBrightness]
  /** Whether enough sightings showed two clear edges; else it has no usual look, and its edges must prove themselves each time. */
  readonly clear: boolean
  /** What to add to the radius for the outline's place in light, px: between dark and bright the middle tone of a blurred edge lies a little on the
   *  dark side. */
  readonly radiusInLight: number
  readonly reading: Reading
  /** Frames that served. */
  readonly learnedFrom: number
  readonly misfit: number
}

export interface Sighting {
  readonly band: BandFrame
  /** Where the search saw the ball, arc length px. */
  readonly s: number
}

/** Rows that size and height are learned from, in radii across from the centre: further up than those that place the ball, since the top of the
 *  outline tells the height. */
const LEARN_FROM = -0.92
const LEARN_TO = 0.25
/** Difference in tone between ball and empty lane that makes an edge clear, and the share of sightings with two such edges that make a usual look. */
const CLEAR_CONTRAST = 4
const CLEAR_SHARE = 1 / 3

/** Learns from clean sightings, size and height from the rows that serve, shape and brightness from all; undefined where fewer than 5 show two edges. */
export function learnPassage(
  sightings: readonly Sighting[],
  start: { radius: number; across: number },
  noise: number,
  pixels: readonly [EdgePixels, EdgePixels],
  reading: Reading,
): Passage | undefined {
  const { rowsFrom, rowsTo, every } = reading
  let shape = gaussianEdge(0.9)
  const levels: Levels = { inside: [], outside: [] }
  let circles: (LaneCircle | undefined)[] = sightings.map((sighting) => {
    const circle = { s: sighting.s, across: start.across, radius: start.radius }
    const coarse = coarseShift(sighting.band, circle, Math.round(Math.max(6, 0.5 * start.radius)))
    return coarse.step > 2 ? { ...circle, s: circle.s + coarse.shift } : undefined
  })
  const refine = (slack: number): { misfit: number; count: number } => {
    const misfits: number[] = []
    circles = circles.map((circle, i) => {
      if (!circle) return undefined
      const band = sightings[i]!.band
      collectSide(band, circle, -1, LEARN_FROM, LEARN_TO, slack, pixels[0], every)
      collectSide(band, circle, 1, LEARN_FROM, LEARN_TO, slack, pixels[1], every)
      const fit = fitCircle(pixels, circle.radius, shape, noise)
      if (!fit) return undefined
      misfits.push(fit.misfit)
      return { s: circle.s + fit.along, across: circle.across + fit.across, radius: circle.radius + fit.radius }
    })
    return { misfit: median(misfits), count: misfits.length }
  }
  const shapeFromSides = (trends: Trends): EdgeShape => {
    const learner = new EdgeShapeLearner()
    levels.inside.length = 0
    levels.outside.length = 0
    circles.forEach((circle, i) => {
      if (!circle) return
      const on = onTrend(circle, trends)
      for (const side of [-1, 1] as const) {
        const set = pixels[side < 0 ? 0 : 1]
        collectSide(sightings[i]!.band, on, side, rowsFrom, rowsTo, 1, set)
        const fit = fitSide(set, on.radius, shape, noise)
        if (fit && fit.contrast > CLEAR_CONTRAST) {
          teach(learner, set)
          noteLevels(levels, set)
        }
      }
    })
    return learner.shape(shape)
  }
  const usualBrightness = (trends: Trends, lower: number): UsualLook => {
    const agreement = new RowAgreement()
    const learners = [new RowBrightnessLearner(), new RowBrightnessLearner()] as const
    let twoClear = 0
    circles.forEach((circle, i) => {
      if (!circle) return
      const trend = onTrend(circle, trends)
      const on = { ...trend, across: trend.across + lower }
      const fits = ([-1, 1] as const).map((side, at) => {
        const set = pixels[at]!
        collectSide(sightings[i]!.band, on, side, rowsFrom, rowsTo, 1, set)
        const fit = fitSide(set, on.radius, shape, noise)
        if (!fit || Math.abs(fit.shift) > 1.5) return undefined
        learners[at]!.add(set, on.radius, fit.misfit)
        if (fit.contrast > CLEAR_CONTRAST) agreement.add(set, on.radius, side)
        return fit
      })
      if (fits.every((fit) => fit !== undefined && fit.contrast > CLEAR_CONTRAST)) twoClear++
    })
    // What is faint or shows two edges now and then only (a hand, a shadow) has none.
    const clear = twoClear >= CLEAR_SHARE * sightings.length
    const usual = clear ? learners : ([new RowBrightnessLearner(), new RowBrightnessLearner()] as const)
    const { binding } = reading
    return { clear, usual: [usual[0].learned(binding), usual[1].learned(binding)], stillLower: agreement.lower() }
  }
  refine(3)
  const first = trendsOf(circles)
  if (!first) return undefined
  shape = shapeFromSides(first)
  circles = circles.map((circle) => circle && onTrend(circle, first))
  const { misfit, count } = refine(1.5)
  const trends = trendsOf(circles)
  if (!trends) return undefined
  shape = shapeFromSides(trends)
  const radiusInLight = -middleInLight(shape, median(levels.outside), median(levels.inside))
  let readLower = 0
  let look = usualBrightness(trends, readLower)
  for (let round = 0; round < reading.heightRounds; round++) {
    readLower += look.stillLower
    look = usualBrightness(trends, readLower)
  }
  const { usual, clear } = look
  return { ...trends, readLower, shape, usual, clear, radiusInLight, reading, learnedFrom: count, misfit }
}

interface UsualLook extends Pick<Passage, 'usual' | 'clear'> {
  /** How much lower than read here the rows would agree better, px. */
  readonly stillLower: number
}

interface Levels {
  readonly inside: number[]
  readonly outside: number[]
}

function noteLevels(levels: Levels, pixels: EdgePixels): void {
  for (let row = 0; row < pixels.rowCount; row++) {
    if (!(pixels.work.rowInfo[row]! > 0)) continue
    levels.inside.push(pixels.work.level[row]!)
    levels.outside.push(pixels.empty[pixels.rowStart[row]!]!)
  }
}

/** Distance from the circle (positive inside) at which light, not its tone, is half way between outside and inside.
 *  Exponent 1/0.45 from the transfer function of ITU-R BT.709-6, item 1.2, its short straight part left out. */
function middleInLight(shape: EdgeShape, outside: number, inside: number): number {
  if (!(Math.abs(inside - outside) > CLEAR_CONTRAST)) return 0
  const exponent = 1 / 0.45 / TONE_EXPONENT
  const light = (tone: number): number => Math.pow(Math.max(0, tone), exponent)
  const middle = (light(outside) + light(inside)) / 2
  const share = (Math.pow(middle, 1 / exponent) - outside) / (inside - outside)
  for (let d = -2.5; d < 2.5; d += 0.02) if (shapeAt(shape, d) >= share) return d
  return 0
}

interface Trends {
  readonly radius: Trend
  readonly across: Trend
}

function onTrend(circle: LaneCircle, trends: Trends): LaneCircle {
  return { s: circle.s, across: trendAt(trends.across, circle.s), radius: trendAt(trends.radius, circle.s) }
}

function trendsOf(circles: readonly (LaneCircle | undefined)[]): Trends | undefined {
  const found = circles.filter((circle) => circle !== undefined)
  if (found.length < 5) return undefined
  const s = found.map((circle) => circle.s)
  const radii = found.map((circle) => circle.radius)
  const middle = median(radii)
  const spread = Math.max(0.3, 4 * robustScatter(radii))
  const good = found.filter((circle) => Math.abs(circle.radius - middle) < Math.max(spread, 0.15 * middle))
  if (good.length < 5) return undefined
  const at = good.map((circle) => circle.s)
  const range = Math.max(...s) - Math.min(...s)
  // A short passage cannot tell a cubic from scatter.
  const degree = range > 20 * middle ? 3 : range > 6 * middle ? 1 : 0
  return {
    radius: fitTrend(
      at,
      good.map((circle) => circle.radius),
      degree,
    ),
    across: fitTrend(
      at,
      good.map((circle) => circle.across),
      Math.min(degree, 2),
    ),
  }
}

function teach(learner: EdgeShapeLearner, pixels: EdgePixels): void {
  const { value, empty, rowStart, rowCount, work } = pixels
  for (let row = 0; row < rowCount; row++) {
    if (!(work.rowInfo[row]! > 0)) continue
    for (let i = rowStart[row]!; i < rowStart[row + 1]!; i++) {
      if (work.weight[i] === 0) continue
      const contrast = work.level[row]! + work.tilt[row]! * work.reach[i]! - empty[i]!
      if (Math.abs(contrast) < 6) continue
      learner.add(work.reach[i]!, (value[i]! - empty[i]!) / contrast, work.weight[i]! * contrast * contrast)
    }
  }
}
