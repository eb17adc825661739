import * as maths from '../elementary/maths.ts'

/** A blink's period read from brightness over time; times in frames. */
export type BlinkReading =
  | {
      readonly kind: 'blink'
      /** Cycles per frame, 0 … ½. */
      readonly frequency: number
      /** Standard uncertainty of the frequency. */
      readonly u: number
      readonly dof: number
      /** By the times of its edges (a lamp going on and off), or by the wave that fits best (flicker). */
      readonly by: 'edges' | 'wave'
      readonly cycles: number
      /** Half the swing of the brightness. */
      readonly amplitude: number
    }
  | { readonly kind: 'blink-too-short'; readonly have: number; readonly need: number }
  | { readonly kind: 'blink-not-seen'; readonly amplitude: number; readonly noise: number }
  | { readonly kind: 'blink-few-cycles'; readonly cycles: number; readonly need: number }

const fewestFrames = 16
/** With fewer cycles the ends decide too much. */
const fewestCycles = 2

/**
 * The frequency of a periodic brightness: coarse from the periodogram, then from the times of the on and off edges where the lamp spends its time
 * at two levels, else by least squares of a sine with harmonics. `time` in frames, rising.
 * Uncertainty of the wave: how far the frequency can go until the sum of squares has grown by one variance (profile likelihood).
 */
export function readBlink(time: readonly number[], luma: readonly number[]): BlinkReading {
  const n = luma.length
  if (n < fewestFrames) return { kind: 'blink-too-short', have: n, need: fewestFrames }
  const edges = readEdges(time, luma)
  if (edges)
    return edges.cycles >= fewestCycles ? edges : { kind: 'blink-few-cycles', cycles: edges.cycles, need: fewestCycles }
  return readWave(time, luma)
}

function readEdges(
  time: readonly number[],
  luma: readonly number[],
): Extract<BlinkReading, { kind: 'blink' }> | undefined {
  const n = luma.length
  const sorted = [...luma].sort((a, b) => a - b)
  const low = sorted[Math.floor(n * 0.1)]!
  const high = sorted[Math.floor(n * 0.9)]!
  const swing = high - low
  if (!(swing > 0)) return undefined
  // On and off: all but the frames that caught an edge stand near one of two levels.
  const between = luma.filter((value) => value > low + swing * 0.2 && value < high - swing * 0.2).length
  if (between > n * 0.2) return undefined
  const middle = (low + high) / 2
  const rising: number[] = []
  const falling: number[] = []
  let state = luma[0]! > middle
  for (let i = 1; i < n; i++) {
    const now = state ? luma[i]! > middle - swing * 0.15 : luma[i]! > middle + swing * 0.15
    if (now === state) continue
    const [a, b] = [luma[i - 1]!, luma[i]!]
    const part = Math.min(1, Math.max(0, (middle - a) / (b - a)))
    ;(now ? rising : falling).push(time[i - 1]! + part * (time[i]! - time[i - 1]!))
    state = now
  }
  const count = rising.length + falling.length
  if (rising.length < 2 && falling.length < 2) return undefined
  // One period, two offsets: on and off times may differ.
  let top = 0
  let bottom = 0
  for (const list of [rising, falling]) {
    const m = (list.length - 1) / 2
    const mean = list.reduce((sum, t) => sum + t, 0) / (list.length || 1)
    for (const [j, t] of list.entries()) {
      top += (j - m) * (t - mean)
      bottom += (j - m) ** 2
    }
  }
  const period = top / bottom
  // A faster blink than this is a wave: its edges fall within neighbouring frames.
  if (!(period >= 6)) return undefined
  let rss = 0
  for (const list of [rising, falling]) {
    const m = (list.length - 1) / 2
    const mean = list.reduce((sum, t) => sum + t, 0) / (list.length || 1)
    for (const [j, t] of list.entries()) rss += (t - mean - period * (j - m)) ** 2
  }
  const dof = count - (rising.length > 0 ? 1 : 0) - (falling.length > 0 ? 1 : 0) - 1
  // A missed or invented edge leaves whole frames of misfit: then it is no steady blink.
  if (dof > 0 && Math.sqrt(rss / dof) > Math.max(1, period * 0.1)) return undefined
  const scatter = dof > 0 ? Math.sqrt(rss / dof / bottom) : 0
  // Every edge falls somewhere within its frame, and where period and frame agree all of them at the same place, unseen by the scatter.
  const cycles = Math.max(rising.length, falling.length) - 1
  const u = Math.max(scatter, 1 / Math.sqrt(6) / cycles) / period ** 2
  return { kind: 'blink', frequency: 1 / period, u, dof: Math.max(1, dof), by: 'edges', cycles, amplitude: swing / 2 }
}

function readWave(time: readonly number[], luma: readonly number[]): BlinkReading {
  const n = luma.length
  const span = time[n - 1]! - time[0]!
  const y = detrended(time, luma)
  // Four steps per resolution cell, so that the peak's own cell is hit.
  const step = 1 / (4 * span)
  let best = 0
  let peak = -1
  for (let f = 1 / span; f <= 0.5; f += step) {
    const power = sineFit(time, y, f).power
    if (power > peak) {
      peak = power
      best = f
    }
  }
  const frequency = refine(time, y, best, step)
  const fit = sineFit(time, y, frequency)
  const total = y.reduce((sum, value) => sum + value * value, 0)
  const rest = Math.max(0, total - fit.power)
  const dof = n - 5
  const noise = Math.sqrt(rest / dof)
  const amplitude = maths.hypot(fit.a, fit.b)
  // White noise shows a peak with this share of its sum of squares once in 1000 series (Fisher's test for a hidden periodicity, n/2 frequencies).
  if (fit.power / total < Math.min(0.9, (2 * (maths.log(n / 2) + 6.9)) / n))
    return { kind: 'blink-not-seen', amplitude, noise }
  const cycles = frequency * span
  if (cycles < fewestCycles) return { kind: 'blink-few-cycles', cycles, need: fewestCycles }
  const rho = lagOne(time, y, fit, frequency)
  // One standard uncertainty off, the wave explains one variance of the noise less; where neighbours are alike, that much more.
  const drop = noise ** 2 * ((1 + rho) / (1 - rho))
  const u = Math.max(
    reachOf(time, y, frequency, fit.power - drop, -1, step),
    reachOf(time, y, frequency, fit.power - drop, 1, step),
  )
  return { kind: 'blink', frequency, u, dof, by: 'wave', cycles, amplitude }
}

/** Less its best straight line: a light that warms up is no blink. */
function detrended(time: readonly number[], luma: readonly number[]): Float64Array {
  const n = luma.length
  const mt = time.reduce((sum, t) => sum + t, 0) / n
  const my = luma.reduce((sum, v) => sum + v, 0) / n
  let top = 0
  let bottom = 0
  for (let i = 0; i < n; i++) {
    top += (time[i]! - mt) * (luma[i]! - my)
    bottom += (time[i]! - mt) ** 2
  }
  return Float64Array.from(luma, (v, i) => v - my - (top / bottom) * (time[i]! - mt))
}

/** Least squares of a·cos + b·sin; `power`: the part of the sum of squares it explains. */
function sineFit(time: readonly number[], y: Float64Array, f: number): { a: number; b: number; power: number } {
  let [cc, cs, ss, yc, ys] = [0, 0, 0, 0, 0]
  for (let i = 0; i < y.length; i++) {
    const phase = 2 * Math.PI * f * (time[i]! - time[0]!)
    const [c, s] = [maths.cos(phase), maths.sin(phase)]
    cc += c * c
    cs += c * s
    ss += s * s
    yc += y[i]! * c
    ys += y[i]! * s
  }
  const det = cc * ss - cs * cs
  // At half a cycle per frame the sine vanishes on every frame: one wave is left.
  if (det < 1e-9 * cc * (cc + ss)) return { a: yc / cc, b: 0, power: (yc * yc) / cc }
  const a = (yc * ss - ys * cs) / det
  const b = (ys * cc - yc * cs) / det
  return { a, b, power: a * yc + b * ys }
}

/** Golden-section search for the greatest explained power within one step of the coarse peak. */
function refine(time: readonly number[], y: Float64Array, start: number, step: number): number {
  const golden = (Math.sqrt(5) - 1) / 2
  let low = Math.max(1e-6, start - step)
  let high = Math.min(0.5, start + step)
  for (let i = 0; i < 60; i++) {
    const a = high - golden * (high - low)
    const b = low + golden * (high - low)
    if (sineFit(time, y, a).power > sineFit(time, y, b).power) high = b
    else low = a
  }
  return (low + high) / 2
}

/** How far the frequency can go to one side until the explained power falls below `floor`; 0 where ½ bars the way. */
function reachOf(
  time: readonly number[],
  y: Float64Array,
  f: number,
  floor: number,
  side: 1 | -1,
  step: number,
): number {
  const room = side > 0 ? 0.5 - f : f
  let far = Math.min(step / 64, room)
  while (far < room && sineFit(time, y, f + side * far).power > floor) far = Math.min(room, far * 2)
  if (sineFit(time, y, f + side * far).power > floor) return far
  let near = 0
  for (let i = 0; i < 30; i++) {
    const middle = (near + far) / 2
    if (sineFit(time, y, f + side * middle).power > floor) near = middle
    else far = middle
  }
  return far
}

/** Correlation of neighbouring residuals, 0 … 0.95: harmonics and drift are not white noise. */
function lagOne(time: readonly number[], y: Float64Array, fit: { a: number; b: number }, f: number): number {
  let top = 0
  let bottom = 0
  let before = 0
  for (let i = 0; i < y.length; i++) {
    const phase = 2 * Math.PI * f * (time[i]! - time[0]!)
    const rest = y[i]! - fit.a * maths.cos(phase) - fit.b * maths.sin(phase)
    top += rest * before
    bottom += rest * rest
    before = rest
  }
  return bottom > 0 ? Math.min(0.95, Math.max(0, top / bottom)) : 0
}
