import { SHAPE_REACH_PX, STEPS_PER_PX, type EdgeShape } from './edge-shape.ts'
import type { EdgePixels } from './edge-pixels.ts'
import { upperMedian } from './middle-value.ts'
import { quickselect } from './robust.ts'
import { heightIndex, type RowBrightness } from './row-brightness.ts'

/** Outcome of fitting one side of the outline. */
export interface SideFit {
  /** Shift along the lane of this side's outline against the assumed circle, px. */
  readonly shift: number
  /** Formal σ of the shift: pixel noise of the fit ÷ √information, px. */
  readonly sigma: number
  /** Information on the shift at unit noise with the brightness inside known, 1/px² per grey level²: what the
   *  Cramér–Rao bound is made of. */
  readonly information: number
  /** Robust scatter of what the fit leaves, grey levels. */
  readonly misfit: number
  /** Median over the used rows of |inside − background| at the outline, on the scale of `Tone`. */
  readonly contrast: number
  /** Rows of the outline that carry contrast, and rows looked at. */
  readonly usedRows: number
  readonly rows: number
}

const ITERATIONS = 4
const MIN_PIXELS = 4
/** Numbers a pixel: along, across squared, value, empty lane, error in grey levels, grey levels per unit of value; and of those within reach: weight,
 *  share of the inside, distance from the outline, empty lane, difference from it, derivative, direction, where its given numbers begin. */
const GIVEN = 6
const NEAR = 8

/** Pixel errors beyond so many of their robust scatter have no say (Tukey's weight). */
const CUT = 5
/** How soon a row that shows something else than usual (a spot) is let go: degrees of freedom of Student's distribution. */
const LETS_GO = 3

/** Moves one side of a circle along the lane until I = B + α(d)·(F + G·d − B) fits, F and G in each row solved away at each step (variable
 *  projection, Golub and Pereyra 1973, with Kaufman's simpler derivative). They are free, or near what the ball usually shows there.
 *  `expected`: scatter that the passage's fits usually leave, grey levels, so that the first step can already weigh that; 0 where unknown. */
export function fitSide(
  pixels: EdgePixels,
  radius: number,
  shape: EdgeShape,
  noise: number,
  usual?: RowBrightness,
  expected = 0,
): SideFit | undefined {
  const { along, across, value, empty, toGrey, rowStart, rowCount } = pixels
  const total = rowStart[rowCount]!
  if (rowCount < 3 || total < 3 * MIN_PIXELS) return undefined
  const {
    weight,
    reach,
    scratch,
    given,
    near,
    level,
    tilt,
    levelLoose,
    tiltLoose,
    rowInfo,
    rowPush,
    rowKnown,
    rowContrast,
  } = pixels.work
  const { table, slope: steep } = shape
  // Shading bends the brightness inside: the smaller the ball, the sooner.
  const inner = Math.max(2.4, Math.min(3.2, 0.265 * radius))
  // What belongs to one pixel lies side by side: this is where locating spends its time.
  for (let i = 0, g = 0; i < total; i++, g += GIVEN) {
    const dc = across[i]!
    given[g] = along[i]!
    given[g + 1] = dc * dc
    given[g + 2] = value[i]!
    given[g + 3] = empty[i]!
    // Its error: none yet, lest a pixel that comes within reach later on inherit one from the outline fitted before.
    given[g + 4] = 0
    given[g + 5] = toGrey[i]!
  }
  let shift = 0
  let scale = expected
  let information = 0
  let usedRows = 0
  for (let iteration = 0; iteration < ITERATIONS; iteration++) {
    let rows = 0
    let n = 0
    let all = 0
    const cut = CUT * scale
    const binding = (usual?.binding ?? 0) * scale * scale
    for (let row = 0; row < rowCount; row++) {
      const from = rowStart[row]!
      const to = rowStart[row + 1]!
      let aa = 0
      let ab = 0
      let bb = 1e-3
      let ay = 0
      let by = 0
      let q = 0
      let plain = 0
      let kept = 0
      for (let i = from; i < to; i++) {
        const g = GIVEN * i
        const da = given[g]! - shift
        const rho = Math.sqrt(da * da + given[g + 1]!)
        const d = radius - rho
        reach[i] = d
        const far = d < 0 ? -d : d
        const limit = d > 0 ? inner : 3.2
        let w = far >= limit ? 0 : far <= limit - 1 ? 1 : limit - far
        plain += w
        if (iteration > 0 && w > 0) {
          const share = given[g + 4]! / cut
          const rest = 1 - share * share
          w = rest <= 0 ? 0 : w * rest * rest
        }
        kept += w
        const grey = given[g + 5]!
        w *= grey * grey
        weight[i] = w
        if (w === 0) continue
        // The share and its slope as shapeAt would read them, both at once.
        const entry = (d + SHAPE_REACH_PX) * STEPS_PER_PX
        const e = entry | 0
        const part = entry - e
        const low = table[e]!
        const a = low + part * (table[e + 1]! - low)
        const turn = da / rho
        const lowSteep = steep[e]!
        const dark = given[g + 3]!
        const seen = given[g + 2]!
        const y = seen - dark * (1 - a)
        const b = a * d
        const wa = w * a
        const wb = w * b
        near[q] = w
        near[q + 1] = a
        near[q + 2] = d
        near[q + 3] = dark
        near[q + 4] = seen - dark
        near[q + 5] = (lowSteep + part * (steep[e + 1]! - lowSteep)) * turn
        near[q + 6] = turn
        near[q + 7] = g
        q += NEAR
        aa += wa * a
        ab += wa * b
        bb += wb * b
        ay += wa * y
        by += wb * y
      }
      let det = aa * bb - ab * ab
      if (q < NEAR * MIN_PIXELS || det <= 1e-6 * aa * bb) {
        rowInfo[row] = 0
        level[row] = NaN
        for (let i = from; i < to; i++) weight[i] = 0
        continue
      }
      rows++
      levelLoose[row] = bb / det
      tiltLoose[row] = aa / det
      const at = usual === undefined || scale === 0 ? -1 : heightIndex(across[from]! / radius)
      const usualLevel = usual?.level[at] ?? NaN
      if (usual !== undefined && !Number.isNaN(usualLevel)) {
        const usualTilt = usual.tilt[at]!
        const levelVariance = usual.levelVariance[at]!
        const tiltVariance = usual.tiltVariance[at]!
        // How far the row's own level and tilt lie from the usual ones, in units of what both sides leave open.
        const offLevel = (bb * ay - ab * by) / det - usualLevel
        const offTilt = (aa * by - ab * ay) / det - usualTilt
        const vl = levelVariance + (binding * bb) / det
        const vt = tiltVariance + (binding * aa) / det
        const vlt = (-binding * ab) / det
        const far =
          (vt * offLevel * offLevel - 2 * vlt * offLevel * offTilt + vl * offTilt * offTilt) / (vl * vt - vlt * vlt)
        const hold = (binding * (LETS_GO + 2)) / (LETS_GO + far)
        aa += hold / levelVariance
        bb += hold / tiltVariance
        ay += (hold * usualLevel) / levelVariance
        by += (hold * usualTilt) / tiltVariance
        det = aa * bb - ab * ab
      }
      const start = (bb * ay - ab * by) / det
      const rise = (aa * by - ab * ay) / det
      level[row] = start
      tilt[row] = rise
      // Derivative of the model with the shift, freed of what level and tilt can take up.
      let ja = 0
      let jb = 0
      let info = 0
      let gradient = 0
      let known = 0
      let outside = 0
      for (let m = 0; m < q; m += NEAR) {
        const d = near[m + 2]!
        const a = near[m + 1]!
        const dark = near[m + 3]!
        const contrast = start + rise * d - dark
        const ideal = near[m + 5]! * contrast
        const j = ideal + a * rise * near[m + 6]!
        outside += dark
        const e = near[m + 4]! - a * contrast
        const g = near[m + 7]!
        const grey = given[g + 5]!
        const idealGrey = grey * ideal
        known += idealGrey * idealGrey
        const error = grey * e
        given[g + 4] = error
        const size = error < 0 ? -error : error
        scratch[n++] = size
        all += size
        const wj = near[m]! * j
        const wa = wj * a
        ja += wa
        jb += wa * d
        info += wj * j
        gradient += wj * e
      }
      const pa = (bb * ja - ab * jb) / det
      const pb = (aa * jb - ab * ja) / det
      info -= ja * pa + jb * pb
      // A row whose pixels were cut shows something else (a spot's edge beside the outline): what is left of it leans on that.
      const trust = (kept * kept) / (plain * plain)
      rowInfo[row] = trust * info
      rowPush[row] = trust * gradient
      rowKnown[row] = known
      rowContrast[row] = Math.abs(start - (NEAR * outside) / q)
    }
    if (rows < 3) return undefined
    if (n < 3 * MIN_PIXELS) return undefined
    scale = Math.max(0.5 * noise, 1.4826 * upperMedian(scratch, n, all), 0.3)
    n = 0
    for (let row = 0; row < rowCount; row++) if (rowInfo[row]! > 0) scratch[n++] = rowInfo[row]!
    if (n < 3) return undefined
    // A single row across a bright spot must not speak for the whole side.
    const cap = 2 * quickselect(scratch, n, n >> 1)
    let push = 0
    information = 0
    usedRows = 0
    for (let row = 0; row < rowCount; row++) {
      const info = rowInfo[row]!
      if (info <= 0) continue
      // Rows whose ball and background are equally bright say nothing.
      if (info < 0.02 * cap) continue
      usedRows++
      const share = info > cap ? cap / info : 1
      push += share * rowPush[row]!
      information += share * info
    }
    if (!(information > 0)) return undefined
    const step = Math.max(-1, Math.min(1, push / information))
    shift += step
    // One that knew what to expect has been held near the usual from its first step on: two may do.
    const enough = iteration > 1 ? 0.006 : iteration === 1 && expected > 0 ? 0.015 : 0
    if (Math.abs(step) < enough) break
  }
  let contrastCount = 0
  let bound = 0
  for (let row = 0; row < rowCount; row++) {
    if (!(rowInfo[row]! > 0)) continue
    scratch[contrastCount++] = rowContrast[row]!
    bound += rowKnown[row]!
  }
  const contrast = contrastCount > 0 ? quickselect(scratch, contrastCount, contrastCount >> 1) : 0
  return {
    shift,
    sigma: scale / Math.sqrt(information),
    information: bound,
    misfit: scale,
    contrast,
    usedRows,
    rows: rowCount,
  }
}
