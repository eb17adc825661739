import type { EdgePixels, Side } from './edge-pixels.ts'

/** Nearer to the ball's top than this share of the radius an outline runs along the lane and tells no place; further off than this, px, a row
 *  shows something else. */
const HIGHEST = 0.95
const ROW_OFF_PX = 1.5

/** Asks the rows of fitted outlines whether they agree about the ball's place: where its centre lies lower than assumed, higher rows of both
 *  sides lie further in. */
export class RowAgreement {
  private steepness = 0
  private lean = 0

  /** Takes what `fitSide` left in the work space of its pixels. */
  add({ rowStart, rowCount, across, work }: EdgePixels, radius: number, side: Side): void {
    let [w, x, y, xx, xy] = [0, 0, 0, 0, 0]
    for (let row = 0; row < rowCount; row++) {
      const info = work.rowInfo[row]!
      const height = across[rowStart[row]!]! / radius
      if (!(info > 0) || Math.abs(height) > HIGHEST) continue
      const outwards = (side * work.rowPush[row]!) / info
      if (Math.abs(outwards) > ROW_OFF_PX) continue
      // Half-width √(r² − h²) grows by h ⁄ √(r² − h²) for each px that the centre goes down.
      const perPx = height / Math.sqrt(1 - height * height)
      w += info
      x += info * perPx
      y += info * outwards
      xx += info * perPx * perPx
      xy += info * perPx * outwards
    }
    if (!(w > 0)) return
    this.steepness += (xx - (x * x) / w) / w
    this.lean += (xy - (x * y) / w) / w
  }

  /** How much further down the line's normal the centre lies for the rows to agree, px; each outline counts alike, about a place of its own. */
  lower(): number {
    return this.steepness > 0 ? this.lean / this.steepness : 0
  }
}
