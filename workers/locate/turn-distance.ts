import { median, robustScatter } from './robust.ts'
import { ANGLES, LOOK_CELLS, RINGS } from './spin-series.ts'

/** A ball's way per turn, read from its pattern. Distances are in the unit of the distances handed in. */
export interface Turning {
  readonly kind: 'turning'
  /** Way per turn, with standard uncertainty: 2π times the rolling radius. */
  readonly perTurn: number
  readonly u: number
  readonly rollingRadius: number
  readonly rollingRadiusU: number
  /** Turns from the first mark to the last. */
  readonly turns: number
  /** Way per turn over stretches of about two turns, at the middle of each. */
  readonly local: readonly { readonly at: number; readonly perTurn: number; readonly u: number }[]
  /** Stretches in which turning falls behind rolling by more than 3 of its uncertainty and 2 %. */
  readonly slips: readonly { readonly at: number; readonly behind: number; readonly u: number }[]
}

export type TurnOutcome =
  | Turning
  | { readonly kind: 'no-pattern'; readonly strength: number }
  | { readonly kind: 'too-short'; readonly turns: number; readonly need: number }

export interface TurnOptions {
  /** Radius of the ball in the unit of the distances; 1 where distances are in radii. */
  readonly radius: number
}

const ORDERS = [1, 2, 3] as const
const FEWEST_TURNS = 1.5
const MOST_MARKS = 700
/** Rolling radius as a share of the ball's: from a deep groove to a flat floor, with room on either side. */
const LEAST_SHARE = 0.25
const MOST_SHARE = 1.1
/** Share of the pattern's power that must turn together. Still reflections are taken out first. */
const LEAST_STRENGTH = 0.2
/** As the ball passes, the camera sees it from changing sides, which looks like a little turning: up to half a percent of
 *  the way per turn on rendered clips with known truth. */
const SYSTEMATIC = 0.0025

/** Finds how far a ball rolls per turn from the looks of its face (mark after mark, `LOOK_CELLS` each) and the distance
 *  of each mark. A pattern that turns about the middle of the face by φ shifts the phase of its m-th angular order by
 *  m·φ; the turning rate is where all orders and rings line up best. */
export function turnDistance(looks: Uint8Array, distance: ArrayLike<number>, options: TurnOptions): TurnOutcome {
  const picked = evenMarks(distance)
  const first = picked[0]
  const last = picked[picked.length - 1]
  if (first === undefined || last === undefined || picked.length < 24)
    return { kind: 'too-short', turns: 0, need: FEWEST_TURNS }
  const way = Math.abs(distance[last]! - distance[first]!)
  const d = Float64Array.from(picked, (i) => Math.abs(distance[i]! - distance[first]!))
  const shortest = 2 * Math.PI * LEAST_SHARE * options.radius
  const longest = 2 * Math.PI * MOST_SHARE * options.radius
  if (way < FEWEST_TURNS * shortest) return { kind: 'too-short', turns: way / longest, need: FEWEST_TURNS }
  const series = angularOrders(looks, picked)
  const best = strongestRate(series, d, 1 / longest, 1 / shortest, way)
  if (!best || best.strength < LEAST_STRENGTH) return { kind: 'no-pattern', strength: best?.strength ?? 0 }
  const turns = way * best.rate
  if (turns < FEWEST_TURNS) return { kind: 'too-short', turns, need: FEWEST_TURNS }
  return refine(series, d, best, turns)
}

/** Marks about evenly spaced in distance, at most `MOST_MARKS`. */
function evenMarks(distance: ArrayLike<number>): number[] {
  const n = distance.length
  if (n === 0) return []
  const way = Math.abs(distance[n - 1]! - distance[0]!)
  const step = way / MOST_MARKS
  const picked: number[] = []
  let next = -Infinity
  for (let i = 0; i < n; i++) {
    const d = Math.abs(distance[i]! - distance[0]!)
    if (d < next) continue
    picked.push(i)
    next = d + step
  }
  return picked
}

interface OrderSeries {
  readonly order: number
  readonly re: Float64Array
  readonly im: Float64Array
}

/** Angular Fourier orders of each ring, mark by mark, after each cell's median over the run has been taken out: what does
 *  not turn (shading, reflections, the hidden part) goes with it. */
function angularOrders(looks: Uint8Array, picked: readonly number[]): OrderSeries[] {
  const n = picked.length
  const still = Float64Array.from({ length: LOOK_CELLS }, (_, cell) => {
    return median(picked.map((i) => looks[i * LOOK_CELLS + cell]!))
  })
  const series: OrderSeries[] = []
  RINGS.forEach((_, ring) => {
    for (const order of ORDERS) {
      const re = new Float64Array(n)
      const im = new Float64Array(n)
      for (let i = 0; i < n; i++) {
        for (let a = 0; a < ANGLES; a++) {
          const cell = ring * ANGLES + a
          const value = looks[picked[i]! * LOOK_CELLS + cell]!
          if (value === 0) continue
          const phase = (2 * Math.PI * order * a) / ANGLES
          re[i] = re[i]! + (value - still[cell]!) * Math.cos(phase)
          im[i] = im[i]! - (value - still[cell]!) * Math.sin(phase)
        }
      }
      centre(re)
      centre(im)
      series.push({ order, re, im })
    }
  })
  return series
}

function centre(values: Float64Array): void {
  const mean = values.reduce((a, b) => a + b, 0) / values.length
  for (let i = 0; i < values.length; i++) values[i] = values[i]! - mean
}

interface Rate {
  /** Turns per unit of distance, and the sense of turning in the picture. */
  readonly rate: number
  readonly sense: 1 | -1
  readonly strength: number
}

function strongestRate(
  series: readonly OrderSeries[],
  d: Float64Array,
  slowest: number,
  fastest: number,
  way: number,
): Rate | undefined {
  const step = 1 / (8 * way)
  let best = strongestOnGrid(series, d, slowest, fastest, step)
  for (let fine = step / 2; best && fine > step / 200; fine /= 2) {
    const { rate, sense } = best
    for (const near of [rate - fine, rate + fine]) {
      const strength = strengthAt(series, d, near * sense)
      if (strength > best.strength) best = { rate: near, sense, strength }
    }
  }
  return best
}

/** The strongest of evenly spaced rates, either sense. From one rate to the next each mark's phase goes on by the same angle, so its cosine and sine
 *  come from those before by one multiplication; those of order m are their m-th power. */
function strongestOnGrid(
  series: readonly OrderSeries[],
  d: Float64Array,
  slowest: number,
  fastest: number,
  step: number,
): Rate | undefined {
  const n = d.length
  const phasor = (rate: number): [Float64Array, Float64Array] => [
    d.map((at) => Math.cos(2 * Math.PI * rate * at)),
    d.map((at) => Math.sin(2 * Math.PI * rate * at)),
  ]
  const [cos, sin] = phasor(slowest)
  const [onCos, onSin] = phasor(step)
  const turned = ORDERS.map(() => [new Float64Array(n), new Float64Array(n)] as const)
  const all = powerOf(series)
  let best: Rate | undefined
  for (let k = 0; slowest + k * step <= fastest; k++) {
    for (let i = 0; i < n; i++) {
      const c = cos[i]!
      const s = sin[i]!
      let cm = 1
      let sm = 0
      for (const [cosines, sines] of turned) {
        const next = cm * c - sm * s
        sm = cm * s + sm * c
        cm = next
        cosines[i] = cm
        sines[i] = sm
      }
      cos[i] = c * onCos[i]! - s * onSin[i]!
      sin[i] = c * onSin[i]! + s * onCos[i]!
    }
    let along = 0
    let against = 0
    for (const { order, re, im } of series) {
      const [c, s] = turned[order - 1]!
      let rc = 0
      let rs = 0
      let ic = 0
      let is = 0
      for (let i = 0; i < n; i++) {
        rc += re[i]! * c[i]!
        rs += re[i]! * s[i]!
        ic += im[i]! * c[i]!
        is += im[i]! * s[i]!
      }
      along += (rc - is) ** 2 + (rs + ic) ** 2
      against += (rc + is) ** 2 + (ic - rs) ** 2
    }
    const rate = slowest + k * step
    const strength = all > 0 ? Math.max(along, against) / n / all : 0
    if (!best || strength > best.strength) best = { rate, sense: along >= against ? 1 : -1, strength }
  }
  return best
}

const powerOf = (series: readonly OrderSeries[]): number =>
  series.reduce((all, { re, im }) => all + re.reduce((sum, x, i) => sum + x * x + im[i]! ** 2, 0), 0)

/** Share of the power that turns at this rate: 1 if every order of every ring does. */
function strengthAt(series: readonly OrderSeries[], d: Float64Array, rate: number): number {
  const all = powerOf(series)
  if (!(all > 0)) return 0
  let together = 0
  for (const { order, re, im } of series) {
    const { x, y } = demodulate(order, re, im, d, rate, 0, d.length)
    together += (x * x + y * y) * d.length
  }
  return together / all
}

/** Angle by which each half-turn block runs ahead of the found rate, then a straight line through them. */
function refine(series: readonly OrderSeries[], d: Float64Array, best: Rate, turns: number): Turning {
  const blocks = blockAngles(series, d, best)
  const line = straight(blocks)
  const rate = best.rate + line.slope / (2 * Math.PI)
  const u = line.slopeU / (2 * Math.PI)
  const perTurn = 1 / rate
  const way = turns / best.rate
  const uPerTurn = Math.hypot(u / rate, SYSTEMATIC) * perTurn
  const local: { at: number; perTurn: number; u: number }[] = []
  const quick = quickScatter(blocks)
  for (let i = 0; i + 4 < blocks.length; i += 2) {
    const part = straight(blocks.slice(i, i + 5))
    const here = best.rate + part.slope / (2 * Math.PI)
    const spread = quick / Math.sqrt(Math.max(1e-12, part.sxx)) / (2 * Math.PI)
    local.push({ at: part.centre, perTurn: 1 / here, u: spread / (here * here) })
  }
  const usual = median(local.map((l) => l.perTurn))
  const slips = local
    .map((l) => ({ at: l.at, behind: l.perTurn / usual - 1, u: l.u / usual }))
    .filter((slip) => slip.behind > Math.max(0.02, 3 * slip.u))
    // Where the ball was hidden for a while nobody saw whether it turned.
    .filter(({ at }) => !unseenNear(d, at, 1.5 / rate, 0.2 / rate))
  return {
    kind: 'turning',
    perTurn,
    u: uPerTurn,
    rollingRadius: perTurn / (2 * Math.PI),
    rollingRadiusU: uPerTurn / (2 * Math.PI),
    turns: way / perTurn,
    local,
    slips,
  }
}

function unseenNear(d: Float64Array, at: number, reach: number, longest: number): boolean {
  for (let i = 1; i < d.length; i++)
    if (d[i]! > at - reach && d[i - 1]! < at + reach && d[i]! - d[i - 1]! > longest) return true
  return false
}

/** Scatter of single blocks from second differences, which a slide (a slow drift) hardly enters: their variance is 6 times
 *  a block's. */
function quickScatter(blocks: readonly Block[]): number {
  const bends = blocks.slice(2).map((block, i) => block.angle - 2 * blocks[i + 1]!.angle + blocks[i]!.angle)
  return Math.max(0.02, bends.length < 3 ? 0.3 : robustScatter(bends) / Math.sqrt(6))
}

interface Block {
  readonly at: number
  readonly angle: number
  readonly weight: number
}

function blockAngles(series: readonly OrderSeries[], d: Float64Array, best: Rate): Block[] {
  const width = 0.5 / best.rate
  const count = Math.max(3, Math.floor(d[d.length - 1]! / width))
  const rate = best.rate * best.sense
  const mean = series.map(({ order, re, im }) => demodulate(order, re, im, d, rate, 0, d.length))
  const blocks: Block[] = []
  let from = 0
  for (let b = 0; b < count; b++) {
    const until = ((b + 1) / count) * d[d.length - 1]!
    let to = from
    while (to < d.length && d[to]! <= until + 1e-12) to++
    if (to - from >= 4) {
      let x = 0
      let y = 0
      series.forEach(({ order, re, im }, k) => {
        const part = demodulate(order, re, im, d, rate, from, to)
        const m = mean[k]!
        // Only the first order tells the angle without doubt about whole parts of a turn; higher ones sharpen it near 0.
        const weight = order === 1 ? 1 : 0.5
        const px = part.x * m.x + part.y * m.y
        const py = part.y * m.x - part.x * m.y
        const angle = Math.atan2(py, px) / order
        const length = weight * Math.hypot(px, py)
        x += length * Math.cos(angle)
        y += length * Math.sin(angle)
      })
      let at = 0
      for (let i = from; i < to; i++) at += d[i]! / (to - from)
      blocks.push({ at, angle: -best.sense * Math.atan2(y, x), weight: to - from })
    }
    from = to
  }
  return blocks
}

function demodulate(
  order: number,
  re: Float64Array,
  im: Float64Array,
  d: Float64Array,
  rate: number,
  from: number,
  to: number,
): { x: number; y: number } {
  let x = 0
  let y = 0
  for (let i = from; i < to; i++) {
    const phase = 2 * Math.PI * order * rate * d[i]!
    x += re[i]! * Math.cos(phase) - im[i]! * Math.sin(phase)
    y += re[i]! * Math.sin(phase) + im[i]! * Math.cos(phase)
  }
  return { x: x / (to - from), y: y / (to - from) }
}

function straight(blocks: readonly Block[]): {
  slope: number
  slopeU: number
  scatter: number
  sxx: number
  centre: number
} {
  const n = blocks.length
  const centre = blocks.reduce((sum, block) => sum + block.at, 0) / Math.max(1, n)
  const level = blocks.reduce((sum, block) => sum + block.angle, 0) / Math.max(1, n)
  let sxx = 0
  let sxy = 0
  for (const block of blocks) {
    sxx += (block.at - centre) ** 2
    sxy += (block.at - centre) * (block.angle - level)
  }
  const slope = sxx > 0 ? sxy / sxx : 0
  const rest = blocks.map((block) => block.angle - level - slope * (block.at - centre))
  const squares = rest.reduce((sum, e) => sum + e * e, 0)
  const scatter = Math.max(n > 2 ? Math.sqrt(squares / (n - 2)) : 0.3, robustScatter(rest), 0.01)
  // Neighbouring blocks see the same half of the pattern every other time: they count as half as many.
  return { slope, slopeU: sxx > 0 ? (Math.SQRT2 * scatter) / Math.sqrt(sxx) : Infinity, scatter, sxx, centre }
}
