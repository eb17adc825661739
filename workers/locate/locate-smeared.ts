import { sampleLook } from './spin-series.ts'
import { Doubt, type GapReason } from './doubts.ts'
import type { Elongation } from './elongation.ts'
import type { Located, PassageFrame, RawMark } from './locate-passage.ts'
import { fitTrend, median, robustScatter, trendAt, type Trend } from './robust.ts'
import {
  collectSmear,
  fitSmear,
  noRowLight,
  TERMS,
  type RowLight,
  type SmearedCircle,
  type SmearFit,
} from './smeared-ball.ts'

/** Shape of a smeared ball along its passage; `exposure` is the time the shutter was open, as the smear tells it [s]. */
interface Shape {
  readonly radius: number
  readonly across: number
  readonly exposure: number
}

const LEARN_FRAMES = 14
/** Rows that tell the ball's height: over its top, and down to where its shadow begins. */
const HEIGHT_ROWS_FROM = -1.3
const HEIGHT_ROWS_TO = 0.1
const ITERATIONS = 8
const FEWEST_ROWS = 8
/** A ball is on average as bright before its middle as behind it, light from one side aside, but single rows hold spots: lean and bend vary
 *  this much less than rows left free show. From rendered clips with known truth. */
const FIRMER = 5
const LEAST_SEEN = 0.75

/** Measures anew, in light, a passage whose ball smears by about `by_px`, its middle about `across_px` from the line: the outline fit of a sharp ball is
 *  several px off there. Marks stay independent: frames share only the ball's size, height, exposure and usual brightness. */
export function locateSmeared(
  frames: readonly PassageFrame[],
  located: Located,
  { by_px, across_px }: Extract<Elongation, { kind: 'smeared' }>,
  noise: number,
): Located {
  const path = pathOf(located, frames)
  if (!path) return located
  const half = median(located.marks.map((mark) => mark.radius))
  const first: Shape = {
    radius: half - by_px / 2,
    across: across_px,
    exposure: by_px / Math.abs(speedAt(path, path.centre)),
  }
  const shaped = (from: Shape): Shape => learnShape(frames, path, from, learnLight(frames, path, from, true))
  // A row left free takes up what size and exposure should explain: over a ball's top a faint row would make it larger.
  const shape = shaped(shaped(first))
  const usual = learnLight(frames, path, shape, false)
  const fits = frames.map((frame) => fitAt(frame, path, shape, usual))
  return judge(frames, fits, shape, noise)
}

/** Place over time, smoothed: where to begin, and how fast the ball goes. */
function pathOf(located: Located, frames: readonly PassageFrame[]): Trend | undefined {
  if (located.marks.length < 8) return undefined
  const time = new Map(frames.map((frame) => [frame.frame, frame.time_s]))
  const at = located.marks.map((mark) => time.get(mark.frame)!)
  return fitTrend(
    at,
    located.marks.map((mark) => mark.s),
    3,
  )
}

function speedAt(path: Trend, time_s: number): number {
  const step = 1e-3 * path.scale
  return (trendAt(path, time_s + step) - trendAt(path, time_s - step)) / (2 * step)
}

function circleAt(path: Trend, shape: Shape, time_s: number): SmearedCircle {
  // Before its first and after its last mark the ball goes on as fast as there.
  const inside = Math.max(path.centre - 0.99 * path.scale, Math.min(path.centre + 0.99 * path.scale, time_s))
  const speed = speedAt(path, inside)
  return {
    s: trendAt(path, inside) + speed * (time_s - inside),
    across: shape.across,
    radius: shape.radius,
    smear: Math.max(1, shape.exposure * Math.abs(speed)),
  }
}

interface Fitted {
  readonly circle: SmearedCircle
  readonly fit: SmearFit
}

function fitAt(frame: PassageFrame, path: Trend, shape: Shape, usual: readonly RowLight[]): Fitted | undefined {
  const circle = circleAt(path, shape, frame.time_s)
  const cells = collectSmear(frame.band, circle)
  if (!cells) return undefined
  const fit = fitSmear(cells, circle, usual, { shift: 0, scale: 0 }, ITERATIONS)
  return fit && { circle, fit }
}

function learning(frames: readonly PassageFrame[], path: Trend): PassageFrame[] {
  const alone = frames.filter(({ time_s }) => Math.abs(time_s - path.centre) <= 0.98 * path.scale)
  const step = Math.max(1, alone.length / LEARN_FRAMES)
  return Array.from({ length: Math.floor(alone.length / step) }, (_, i) => alone[Math.floor((i + 0.5) * step)]!)
}

/** Size, height and exposure that leave least in a few frames: each in turn, by parabolas. */
function learnShape(frames: readonly PassageFrame[], path: Trend, first: Shape, usual: readonly RowLight[]): Shape {
  const shown = learning(frames, path).flatMap((frame) => {
    const circle = circleAt(path, first, frame.time_s)
    const cells = collectSmear(frame.band, circle, HEIGHT_ROWS_FROM, HEIGHT_ROWS_TO)
    const fit = cells && fitSmear(cells, circle, usual, { shift: 0, scale: 0 }, ITERATIONS)
    return cells && fit && cells.seen >= LEAST_SEEN ? [{ frame, cells, shift: fit.shift, scale: fit.misfit }] : []
  })
  if (shown.length < 5) return first
  const scale = median(shown.map((one) => one.scale))
  const cost = (shape: Shape): number =>
    shown.reduce((sum, { frame, cells, shift }) => {
      const lower = shape.across - first.across
      const fit = fitSmear(cells, circleAt(path, shape, frame.time_s), usual, { shift, scale, lower }, 3)
      return sum + (fit?.cost ?? Infinity)
    }, 0)
  let shape = first
  const speed = Math.abs(speedAt(path, path.centre))
  const higher = (by: number): Shape => ({ ...shape, across: shape.across + 0.5 * by })
  // Along valleys of the cost: a longer smear of a smaller ball keeps its ends and its top, a larger ball that lies lower keeps its top.
  const traded = (by: number): Shape => {
    const exposure = shape.exposure * (1 + 0.08 * by)
    const smaller = ((exposure - shape.exposure) * speed) / 2
    return { exposure, radius: shape.radius - smaller, across: shape.across - smaller }
  }
  const larger = (by: number): Shape => ({ ...shape, radius: shape.radius + 0.5 * by, across: shape.across + 0.5 * by })
  // Once each: the rows' freedom would draw out what the cost's flat valleys leave open.
  for (const step of [traded, larger, higher]) {
    const low = cost(step(-1))
    const here = cost(shape)
    const high = cost(step(1))
    const bend = low - 2 * here + high
    const by = bend > 0 ? (0.5 * (low - high)) / bend : low < high ? -1 : 1
    shape = step(Math.max(-1.5, Math.min(1.5, by)))
  }
  return shape
}

/** Usual brightness of the ball's rows, from rows left free: by height, or the same for all. */
function learnLight(frames: readonly PassageFrame[], path: Trend, shape: Shape, alike: boolean): readonly RowLight[] {
  const free = noRowLight()
  const rows: Float64Array[][] = free.map(() => [])
  for (const frame of learning(frames, path)) {
    const circle = circleAt(path, shape, frame.time_s)
    const cells = collectSmear(frame.band, circle)
    const fit = cells && fitSmear(cells, circle, free, { shift: 0, scale: 0 }, ITERATIONS)
    if (!cells || !fit || cells.seen < LEAST_SEEN) continue
    fitSmear(cells, circle, free, { shift: fit.shift, scale: fit.misfit }, 1, (height, terms) =>
      rows[height]!.push(terms),
    )
  }
  const all = rows.flat()
  return rows.map((own) => usualLight(alike ? all : own))
}

function usualLight(seen: readonly Float64Array[]): RowLight {
  const middle = new Float64Array(TERMS)
  const stiffness = new Float64Array(TERMS)
  if (seen.length < FEWEST_ROWS) return { middle, stiffness }
  for (let p = 0; p < TERMS; p++) {
    const values = seen.map((terms) => terms[p]!)
    const spread = robustScatter(values)
    middle[p] = p === 1 ? 0 : median(values)
    stiffness[p] = (p === 0 ? 1 : FIRMER) / Math.max(1e-12, spread * spread)
  }
  return { middle, stiffness }
}

function judge(
  frames: readonly PassageFrame[],
  fits: readonly (Fitted | undefined)[],
  shape: Shape,
  noise: number,
): Located {
  const usual = median(fits.flatMap((one) => (one ? [one.fit.misfit] : [])))
  const marks: RawMark[] = []
  const refused: { frame: number; reason: GapReason }[] = []
  frames.forEach((frame, i) => {
    const one = fits[i]
    const reason = refusal(frame, one, shape, usual)
    if (!one || reason) {
      refused.push({ frame: frame.frame, reason: reason ?? 'not-seen' })
      return
    }
    const { circle, fit } = one
    marks.push({
      frame: frame.frame,
      s: circle.s + fit.shift,
      across: shape.across,
      radius: shape.radius,
      doubt: Doubt.blurred | (fit.misfit > 1.8 * usual ? Doubt.poorFit : 0),
      formal: fit.sigma,
      bound: noise / Math.sqrt(Math.max(1e-9, fit.information)),
      smear_px: circle.smear,
      halfWidth: NaN,
      look: sampleLook(frame.band, { s: circle.s + fit.shift, across: shape.across, radius: shape.radius }),
    })
  })
  return { marks, refused }
}

function refusal(frame: PassageFrame, one: Fitted | undefined, shape: Shape, usual: number): GapReason | undefined {
  if (!one) return 'not-seen'
  const { circle, fit } = one
  if (frame.nearest < 2 * shape.radius + circle.smear + 12) return 'too-close'
  if (fit.seen < LEAST_SEEN) return 'picture-edge'
  const strayed = Math.abs(fit.shift) > Math.max(shape.radius, circle.smear)
  return strayed || fit.misfit > 3 * usual ? 'not-seen' : undefined
}
