import type { BandFrame } from './edge-pixels.ts'
import { gainAt } from './background.ts'
import { besideLine } from './lane-line.ts'
import { quickselect, solveSymmetric, tukey } from './robust.ts'
import { columnAt } from './strip.ts'
import { DARKEST, type Tone } from './tone.ts'

/** A ball smeared by its motion while the shutter was open: circle, and the way it went, px. */
export interface SmearedCircle {
  readonly s: number
  readonly across: number
  readonly radius: number
  readonly smear: number
}

/** What a row of the ball usually shows, by height: brightness along the row as level + lean·ξ + bend·ξ² (ξ px from the ball's middle), in light, and the
 *  inverse of each one's variance. */
export interface RowLight {
  readonly middle: Float64Array
  readonly stiffness: Float64Array
}

export interface SmearFit {
  /** Shift along the lane against the assumed circle, px, and its formal σ. */
  readonly shift: number
  readonly sigma: number
  /** Robust scatter of what is left, grey levels, and sum of what is left after robust weighting, in units of it. */
  readonly misfit: number
  readonly cost: number
  /** Share of the smear's cells that were kept of this frame and lie in the picture. */
  readonly seen: number
  /** Information on the shift at unit noise with the brightness known, 1/px² per grey level². */
  readonly information: number
}

/** Rows that serve, in radii across from the centre: further down the ball's shadow smears along. */
const ROWS_FROM = -0.85
const ROWS_TO = 0.1
const HEIGHT_STEPS = 4
const HEIGHTS = 2 * HEIGHT_STEPS + 1
/** Numbers that describe a row: level, lean, bend. */
export const TERMS = 3
/** Beyond the smear's ends so much of the empty lane is looked at, px. */
const BEYOND_PX = 6
/** Blur of lens and pixel, px, and where and with what weight it is sampled (Gauss and Hermite, three nodes). */
const LENS_BLUR_PX = 0.7
const NODES = [-Math.sqrt(3), 0, Math.sqrt(3)] as const
const NODE_SHARES = [1 / 6, 2 / 3, 1 / 6] as const
/** The exponent that takes grey to light: 2.2 is common practice for the whole curve with its straight part, no source. */
const TO_LIGHT = 2.2
const CUT = 6

function heightOf(share: number): number {
  return Math.round((share + 1) * HEIGHT_STEPS)
}

export function noRowLight(): RowLight[] {
  return Array.from({ length: HEIGHTS }, () => ({
    middle: new Float64Array(TERMS),
    stiffness: new Float64Array(TERMS),
  }))
}

function lightOf(grey: number, { black, white }: Tone): number {
  const share = (grey - black) / (white - black)
  return share <= 0 ? 0 : Math.pow(share, TO_LIGHT)
}

/** Cells of one frame around a smeared ball, row by row, in light; weights bring errors back to grey levels. */
export interface SmearCells {
  readonly along: Float64Array
  readonly across: Float64Array
  readonly light: Float64Array
  readonly empty: Float64Array
  readonly weight: Float64Array
  readonly rowStart: readonly number[]
  readonly seen: number
}

/** Cells in rows `rowsFrom` … `rowsTo` radii across from the circle's centre. */
export function collectSmear(
  band: BandFrame,
  circle: SmearedCircle,
  rowsFrom = ROWS_FROM,
  rowsTo = ROWS_TO,
): SmearCells | undefined {
  const { chunk, level, gain } = band
  const { strip, scale, tone } = chunk
  const { rows, columns, x, y } = strip
  const ball = besideLine(strip.line, circle.s, circle.across)
  const middle = Math.max(0, Math.min(columns - 1, Math.round(columnAt(strip, circle.s))))
  const window = chunk.window(band.frame, middle)
  if (!window) return undefined
  const reach = circle.radius + circle.smear / 2 + BEYOND_PX
  const first = Math.floor(columnAt(strip, circle.s - reach))
  const last = Math.ceil(columnAt(strip, circle.s + reach))
  const from = Math.max(window.from, Math.min(first, last))
  const to = Math.min(window.to, Math.max(first, last) + 1)
  const factor = gain ? scale / gainAt(gain, band.frame, middle, columns) : scale
  const span = tone.white - tone.black
  const cells = { along: [] as number[], across: [] as number[], grey: [] as number[], empty: [] as number[] }
  const rowStart = [0]
  let wanted = 0
  for (let k = 0; k < rows; k++) {
    const cell = middle * rows + k
    const here = -(x[cell]! - ball.x) * ball.ty + (y[cell]! - ball.y) * ball.tx
    if (here < rowsFrom * circle.radius || here > rowsTo * circle.radius) continue
    wanted += Math.abs(last - first) + 1
    for (let c = from; c < to; c++) {
      const at = c * rows + k
      if (strip.source[at]! < 0) continue
      const px = x[at]! - ball.x
      const py = y[at]! - ball.y
      cells.along.push(px * ball.tx + py * ball.ty)
      cells.across.push(-px * ball.ty + py * ball.tx)
      cells.grey.push(window.data[window.base + at]! * factor)
      cells.empty.push(lightOf(level[at]!, tone))
    }
    if (cells.along.length > rowStart[rowStart.length - 1]!) rowStart.push(cells.along.length)
  }
  if (rowStart.length < 4) return undefined
  return {
    along: Float64Array.from(cells.along),
    across: Float64Array.from(cells.across),
    light: Float64Array.from(cells.grey, (grey) => lightOf(grey, tone)),
    empty: Float64Array.from(cells.empty),
    weight: Float64Array.from(cells.grey, (grey) => {
      const share = Math.max(DARKEST, (grey - tone.black) / span)
      return (span / (TO_LIGHT * Math.pow(share, TO_LIGHT - 1))) ** 2
    }),
    rowStart,
    seen: cells.along.length / wanted,
  }
}

/** Means over the exposure, at one cell, of ξ⁰, ξ¹, ξ² of what covers it, and their change as the ball moves on. A ball whose middle runs evenly from
 *  −smear/2 to +smear/2 covers the cell while |cell − middle| < half: integrals of powers, exact. */
function momentsAt(t: number, half: number, smear: number, out: Float64Array): void {
  out.fill(0)
  for (let node = 0; node < 3; node++) {
    const x = t + LENS_BLUR_PX * NODES[node]!
    const early = x - smear / 2
    const late = x + smear / 2
    const a = early > -half ? early : -half
    const b = late < half ? late : half
    if (b <= a) continue
    const share = NODE_SHARES[node]! / smear
    const movesA = early > -half ? share : 0
    const movesB = late < half ? share : 0
    out[0] = out[0]! + share * (b - a)
    out[1] = out[1]! + (share * (b * b - a * a)) / 2
    out[2] = out[2]! + (share * (b * b * b - a * a * a)) / 3
    out[3] = out[3]! - (movesB - movesA)
    out[4] = out[4]! - (movesB * b - movesA * a)
    out[5] = out[5]! - (movesB * b * b - movesA * a * a)
  }
}

/** Takes a row's level, lean and bend, found free or near the usual ones. */
export type RowSink = (height: number, terms: Float64Array) => void

/** Moves a smeared ball, `lower` px below where its cells were collected for, along the lane until the picture fits in light: empty lane × (1 − share covered) + brightness of what covered it. */
export function fitSmear(
  cells: SmearCells,
  circle: Pick<SmearedCircle, 'radius' | 'smear'>,
  usual: readonly RowLight[],
  start: { readonly shift: number; readonly scale: number; readonly lower?: number },
  iterations: number,
  sink?: RowSink,
): SmearFit | undefined {
  const { along, across, light, empty, weight, rowStart } = cells
  const total = along.length
  const { radius, smear } = circle
  const moments = new Float64Array(6 * total)
  const at = new Float64Array(6)
  const error = new Float64Array(total)
  const robust = new Float64Array(total).fill(1)
  const sizes = new Float64Array(total)
  let { shift, scale } = start
  const lower = start.lower ?? 0
  let information = 0
  let ideal = 0
  let cost = 0
  for (let iteration = 0; iteration < iterations; iteration++) {
    let push = 0
    information = 0
    ideal = 0
    cost = 0
    const bound = scale > 0 ? scale * scale : 1
    for (let row = 0; row + 1 < rowStart.length; row++) {
      const from = rowStart[row]!
      const to = rowStart[row + 1]!
      const share = (across[from]! - lower) / radius
      if (Math.abs(share) >= 0.98) {
        for (let i = from; i < to; i++) error[i] = Math.sqrt(weight[i]!) * (light[i]! - empty[i]!)
        continue
      }
      const { middle, stiffness } = usual[heightOf(share)]!
      const a = new Float64Array(TERMS * TERMS)
      const right = new Float64Array(TERMS)
      for (let p = 0; p < TERMS; p++) {
        a[p * TERMS + p] = bound * stiffness[p]!
        right[p] = bound * stiffness[p]! * middle[p]!
      }
      for (let i = from; i < to; i++) {
        momentsAt(along[i]! - shift, Math.sqrt(Math.max(0, radius ** 2 - (across[i]! - lower) ** 2)), smear, at)
        moments.set(at, 6 * i)
        const w = weight[i]! * robust[i]!
        const y = light[i]! - empty[i]! * (1 - at[0]!)
        for (let p = 0; p < TERMS; p++) {
          right[p] = right[p]! + w * at[p]! * y
          for (let q = 0; q <= p; q++) a[p * TERMS + q] = a[p * TERMS + q]! + w * at[p]! * at[q]!
        }
      }
      for (let p = 0; p < TERMS; p++) {
        // A hair of stiffness keeps rows solvable whose ball is barely there.
        a[p * TERMS + p] = a[p * TERMS + p]! * (1 + 1e-5) + 1e-6
        for (let q = 0; q < p; q++) a[q * TERMS + p] = a[p * TERMS + q]!
      }
      const terms = solveSymmetric(a, right, TERMS)
      if (!terms) continue
      const lean = new Float64Array(TERMS)
      let full = 0
      for (let i = from; i < to; i++) {
        const m = 6 * i
        let model = empty[i]! * (1 - moments[m]!)
        let j = -empty[i]! * moments[m + 3]!
        for (let p = 0; p < TERMS; p++) {
          model += terms[p]! * moments[m + p]!
          j += terms[p]! * moments[m + 3 + p]!
        }
        const e = light[i]! - model
        const w = weight[i]! * robust[i]!
        error[i] = Math.sqrt(weight[i]!) * e
        push += w * j * e
        full += w * j * j
        ideal += weight[i]! * j * j
        for (let p = 0; p < TERMS; p++) lean[p] = lean[p]! + w * moments[m + p]! * j
      }
      const taken = solveSymmetric(a, lean, TERMS)
      information += full - (taken ? lean.reduce((sum, v, p) => sum + v * taken[p]!, 0) : 0)
      for (let p = 0; p < TERMS; p++) cost += stiffness[p]! * (terms[p]! - middle[p]!) ** 2
      sink?.(heightOf(share), terms)
    }
    for (let i = 0; i < total; i++) sizes[i] = Math.abs(error[i]!)
    if (start.scale === 0) scale = Math.max(0.3, 1.4826 * quickselect(sizes, total, total >> 1))
    for (let i = 0; i < total; i++) {
      robust[i] = tukey(error[i]!, CUT * scale)
      const part = Math.min(1, (error[i]! / (CUT * scale)) ** 2)
      cost += (CUT ** 2 / 3) * (1 - (1 - part) ** 3)
    }
    if (!(information > 0)) return undefined
    const step = Math.max(-2, Math.min(2, push / information))
    if (iteration + 1 < iterations) shift += step
    if (iteration > 1 && Math.abs(step) < 0.01) break
  }
  return {
    shift,
    sigma: scale / Math.sqrt(information),
    misfit: scale,
    cost,
    seen: cells.seen,
    information: ideal,
  }
}
