import * as maths from '../elementary/maths.ts'
import type { Px, ShakeTrack } from '../record/index.ts'

/** Where one still feature was seen, frame by frame; NaN where it was lost. */
export interface FeaturePath {
  readonly x: readonly number[]
  readonly y: readonly number[]
}

export type ShakeProblem =
  | { readonly kind: 'features-too-few'; readonly have: number; readonly need: number }
  | { readonly kind: 'features-lost'; readonly frame: number }
  | { readonly kind: 'features-too-close'; readonly px: number; readonly need: number }
  /** One feature moves by itself: it is not still. */
  | { readonly kind: 'feature-not-still'; readonly feature: number; readonly rms_px: number }

const closest_px = 50

/**
 * Shift and turn of the picture per frame from two or more still features, against the place each has on `referenceFrame` (an index into the paths):
 * least squares of a turn about the features' middle and a shift. Its noise: the scatter that the features leave over, at the features' middle.
 */
export function shakeFromFeatures(
  frames: readonly number[],
  features: readonly FeaturePath[],
  referenceIndex = 0,
): { readonly kind: 'shake'; readonly track: ShakeTrack; readonly rms_px: number } | ShakeProblem {
  const n = features.length
  if (n < 2) return { kind: 'features-too-few', have: n, need: 2 }
  const home = features.map((path) => ({ x: path.x[referenceIndex]!, y: path.y[referenceIndex]! }))
  if (home.some((p) => !Number.isFinite(p.x))) return { kind: 'features-lost', frame: frames[referenceIndex]! }
  const about: Px = {
    x: home.reduce((sum, p) => sum + p.x, 0) / n,
    y: home.reduce((sum, p) => sum + p.y, 0) / n,
  }
  const spread = Math.max(...home.map((p) => maths.hypot(p.x - about.x, p.y - about.y)))
  if (spread < closest_px / 2) return { kind: 'features-too-close', px: 2 * spread, need: closest_px }

  const all = trackOf(frames, features, home, about, referenceIndex)
  if ('kind' in all) return all
  if (n >= 3 && all.rms_px > notStill_px) {
    // The one without which the others agree.
    let best: { feature: number; rms_px: number } | undefined
    for (const feature of features.keys()) {
      const others = <T>(list: readonly T[]) => list.filter((_, i) => i !== feature)
      const rest = trackOf(frames, others(features), others(home), about, referenceIndex)
      if (!('kind' in rest) && (!best || rest.rms_px < best.rms_px)) best = { feature, rms_px: rest.rms_px }
    }
    if (best && best.rms_px < all.rms_px / 4)
      return { kind: 'feature-not-still', feature: best.feature, rms_px: all.rms_px }
  }
  // Of one direction at the middle, and the turn's part at the features' own distance: what a mark among the features inherits.
  return { kind: 'shake', track: { ...all.track, u_px: all.rms_px * Math.sqrt(2 / n) }, rms_px: all.rms_px }
}

const notStill_px = 0.3

function trackOf(
  frames: readonly number[],
  features: readonly FeaturePath[],
  home: readonly Px[],
  about: Px,
  referenceIndex: number,
): { track: Omit<ShakeTrack, 'u_px'>; rms_px: number } | ShakeProblem {
  const track = { frames: [...frames], dx: [] as number[], dy: [] as number[], turn_rad: [] as number[], about }
  let rss = 0
  let dof = 0
  for (const [k, frame] of frames.entries()) {
    const seen = features
      .map((path, i) => ({ x: path.x[k]!, y: path.y[k]!, home: home[i]! }))
      .filter((p) => Number.isFinite(p.x) && Number.isFinite(p.y))
    if (seen.length < 2) return { kind: 'features-lost', frame }
    const fit = rigid(seen, about)
    track.dx.push(fit.dx)
    track.dy.push(fit.dy)
    track.turn_rad.push(fit.turn)
    for (const r of fit.rest) rss += r * r
    if (k !== referenceIndex) dof += 2 * seen.length - 3
  }
  return { track, rms_px: Math.sqrt(rss / Math.max(1, dof)) }
}

interface Seen {
  readonly x: number
  readonly y: number
  readonly home: Px
}

/** Turn about `about` and shift that take the homes to where the features are seen. Source: closed-form planar Procrustes without scale. */
function rigid(seen: readonly Seen[], about: Px) {
  const n = seen.length
  const mean = (f: (p: Seen) => number) => seen.reduce((sum, p) => sum + f(p), 0) / n
  const [hx, hy] = [mean((p) => p.home.x), mean((p) => p.home.y)]
  const [sx, sy] = [mean((p) => p.x), mean((p) => p.y)]
  let dot = 0
  let cross = 0
  for (const p of seen) {
    dot += (p.home.x - hx) * (p.x - sx) + (p.home.y - hy) * (p.y - sy)
    cross += (p.home.x - hx) * (p.y - sy) - (p.home.y - hy) * (p.x - sx)
  }
  const turn = maths.atan2(cross, dot)
  const [c, s] = [maths.cos(turn), maths.sin(turn)]
  const dx = sx - about.x - c * (hx - about.x) + s * (hy - about.y)
  const dy = sy - about.y - s * (hx - about.x) - c * (hy - about.y)
  const rest = seen.map((p) => {
    const x = about.x + c * (p.home.x - about.x) - s * (p.home.y - about.y) + dx
    const y = about.y + s * (p.home.x - about.x) + c * (p.home.y - about.y) + dy
    return maths.hypot(p.x - x, p.y - y)
  })
  return { turn, dx, dy, rest }
}
