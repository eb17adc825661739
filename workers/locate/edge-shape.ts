/** How brightness goes from outside to inside across the outline: 0 far outside, 1 far inside, as a table over the
 *  signed distance from the outline (positive inside). Values between entries are interpolated linearly. */
export interface EdgeShape {
  readonly table: Float64Array
  /** Slope of the share per px at each entry. */
  readonly slope: Float64Array
}

export const SHAPE_REACH_PX = 4
export const STEPS_PER_PX = 20
const ENTRIES = 2 * SHAPE_REACH_PX * STEPS_PER_PX + 1

/** Edge blurred by a normal distribution of the given width [px]. */
export function gaussianEdge(width_px: number): EdgeShape {
  const table = new Float64Array(ENTRIES)
  for (let i = 0; i < ENTRIES; i++) table[i] = normalShare((i / STEPS_PER_PX - SHAPE_REACH_PX) / width_px)
  return shapeFrom(table)
}

/** Central differences over a tenth of a px. */
function shapeFrom(table: Float64Array): EdgeShape {
  const slope = new Float64Array(ENTRIES)
  for (let i = 1; i < ENTRIES - 1; i++) slope[i] = 0.5 * STEPS_PER_PX * (table[i + 1]! - table[i - 1]!)
  return { table, slope }
}

/** Φ(z). Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 7.1.26, |error| < 1.5e-7. */
function normalShare(z: number): number {
  const x = Math.abs(z) / Math.SQRT2
  const t = 1 / (1 + 0.3275911 * x)
  const poly = t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))))
  const half = 0.5 * poly * Math.exp(-x * x)
  return z > 0 ? 1 - half : half
}

/** Share of the inside at distance d. */
export function shapeAt(shape: EdgeShape, d: number): number {
  const at = (d + SHAPE_REACH_PX) * STEPS_PER_PX
  if (at <= 0) return shape.table[0]!
  if (at >= ENTRIES - 1) return shape.table[ENTRIES - 1]!
  const i = Math.floor(at)
  const low = shape.table[i]!
  return low + (at - i) * (shape.table[i + 1]! - low)
}

/** Collects normalised samples of an edge and turns them into a table. Samples are weighted by contrast squared, as a
 *  grey level's noise is the smaller share of a strong edge. */
export class EdgeShapeLearner {
  private readonly sum = new Float64Array(ENTRIES)
  private readonly weight = new Float64Array(ENTRIES)

  add(d: number, share: number, weight: number): void {
    const i = Math.round((d + SHAPE_REACH_PX) * STEPS_PER_PX)
    if (i < 0 || i >= ENTRIES) return
    this.sum[i] = this.sum[i]! + weight * share
    this.weight[i] = this.weight[i]! + weight
  }

  /** The learned table: local straight lines over ±0.25 px, 0 and 1 where the samples end. */
  shape(fallback: EdgeShape): EdgeShape {
    const table = new Float64Array(ENTRIES)
    const reach = Math.round(0.25 * STEPS_PER_PX)
    const total = this.weight.reduce((a, b) => a + b, 0)
    if (total <= 0) return fallback
    const enough = (0.02 * total * (2 * reach + 1)) / ENTRIES
    for (let i = 0; i < ENTRIES; i++) {
      let w = 0
      let x = 0
      let y = 0
      let xx = 0
      let xy = 0
      for (let j = -reach; j <= reach; j++) {
        const at = i + j
        if (at < 0 || at >= ENTRIES) continue
        const taper = this.weight[at]! * (1 - Math.abs(j) / (reach + 1))
        const mean = this.weight[at]! > 0 ? this.sum[at]! / this.weight[at]! : 0
        w += taper
        x += taper * j
        y += taper * mean
        xx += taper * j * j
        xy += taper * j * mean
      }
      if (w < enough) table[i] = fallback.table[i]!
      else {
        const det = w * xx - x * x
        table[i] = det > 1e-6 * w * w ? (xx * y - x * xy) / det : y / w
      }
    }
    // Far from the outline the share is 0 or 1 by definition; the fit's own freedom (level, slope) covers the rest.
    for (let i = 0; i < ENTRIES; i++) {
      const d = i / STEPS_PER_PX - SHAPE_REACH_PX
      const far = Math.min(1, Math.max(0, (Math.abs(d) - 2.4) / 0.6))
      table[i] = table[i]! * (1 - far) + (d > 0 ? 1 : 0) * far
    }
    return shapeFrom(table)
  }
}
