export interface Gap {
  /** The frame after the gap. */
  readonly frame: number
  /** Frames that are missing before it. */
  readonly missing: number
}

/** Intervals on either side that tell what is usual here. */
const around = 6

/**
 * Single gaps in the rhythm of a clip's timestamps, where the camera or the copy left frames out: an interval of two or more times what is usual
 * around it, within 15 % of a whole multiple. A change of pace that lasts is no gap.
 */
export function droppedFrames(ticks: ArrayLike<number>): Gap[] {
  const gaps: Gap[] = []
  for (let i = 1; i < ticks.length; i++) {
    const step = ticks[i]! - ticks[i - 1]!
    const near: number[] = []
    for (let k = Math.max(1, i - around); k <= Math.min(ticks.length - 1, i + around); k++)
      if (k !== i) near.push(ticks[k]! - ticks[k - 1]!)
    if (near.length < around) continue
    near.sort((a, b) => a - b)
    const usual = near[near.length >> 1]!
    if (!(usual > 0)) continue
    const times = Math.round(step / usual)
    if (times < 2 || Math.abs(step / usual - times) > 0.15 * times) continue
    // Half of the neighbours as long: the pace changes here.
    if (near.filter((other) => other > 0.75 * step).length >= near.length / 3) continue
    gaps.push({ frame: i, missing: times - 1 })
  }
  return gaps
}
