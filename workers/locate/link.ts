import type { Detection, Detections } from './detect.ts'

/** A chain of detections that moves steadily enough to be one object. Frames rise; some may be missing. */
export interface Track {
  readonly frames: number[]
  readonly columns: number[]
  readonly strengths: number[]
}

interface Open extends Track {
  /** Columns per second, from the last few detections. */
  speed: number
}

export interface LinkOptions {
  readonly radius_columns: number
  /** Real time of each frame of the chunk, s. */
  readonly time_s: ArrayLike<number>
  /** Frames a track may go unseen (behind a post, over a repeated frame). */
  readonly coast: number
}

/** Links detections of consecutive frames by a constant-velocity gate; nearest pairs first, each detection once. */
export function link(detections: Detections, options: LinkOptions): Track[] {
  const { radius_columns: r, time_s, coast } = options
  const closed: Track[] = []
  let open: Open[] = []
  detections.byFrame.forEach((found, frame) => {
    const pairs: { track: Open; detection: Detection; miss: number }[] = []
    for (const track of open) {
      const last = track.frames.length - 1
      const wait = time_s[frame]! - time_s[track.frames[last]!]!
      const missed = frame - track.frames[last]! - 1
      const predicted = track.columns[last]! + track.speed * wait
      // A new track knows no speed yet: it may move by up to 1.5 radii to its second frame.
      const gate =
        track.frames.length < 3
          ? 1.5 * r
          : Math.min(1.2 * r, 3 + 0.15 * Math.abs(track.speed) * wait + 0.25 * missed + 0.12 * r)
      for (const detection of found) {
        const miss = Math.abs(detection.column - predicted)
        if (miss <= gate) pairs.push({ track, detection, miss })
      }
    }
    pairs.sort((a, b) => a.miss - b.miss || b.track.frames.length - a.track.frames.length)
    const taken = new Set<Detection>()
    const fed = new Set<Open>()
    for (const { track, detection } of pairs) {
      if (taken.has(detection) || fed.has(track)) continue
      taken.add(detection)
      fed.add(track)
      track.frames.push(frame)
      track.columns.push(detection.column)
      track.strengths.push(detection.strength)
      track.speed = recentSpeed(track, time_s)
    }
    const still: Open[] = []
    for (const track of open) {
      const missed = frame - track.frames[track.frames.length - 1]!
      if (missed > (track.frames.length < 3 ? 1 : coast)) closed.push(track)
      else still.push(track)
    }
    for (const detection of found) {
      if (taken.has(detection)) continue
      still.push({ frames: [frame], columns: [detection.column], strengths: [detection.strength], speed: 0 })
    }
    open = still
  })
  return [...closed, ...open].map(({ frames, columns, strengths }) => ({ frames, columns, strengths }))
}

/** Slope of a straight line through the last detections (up to 12), columns per second. */
function recentSpeed(track: Track, time_s: ArrayLike<number>): number {
  const n = Math.min(12, track.frames.length)
  if (n < 2) return 0
  const from = track.frames.length - n
  let t = 0
  let u = 0
  for (let i = from; i < track.frames.length; i++) {
    t += time_s[track.frames[i]!]!
    u += track.columns[i]!
  }
  t /= n
  u /= n
  let tt = 0
  let tu = 0
  for (let i = from; i < track.frames.length; i++) {
    const dt = time_s[track.frames[i]!]! - t
    tt += dt * dt
    tu += dt * (track.columns[i]! - u)
  }
  return tt > 0 ? tu / tt : 0
}

/** How far a track moves, judged by the medians of its first and last few detections, columns. */
export function travel(track: Track): number {
  const n = track.columns.length
  const few = Math.max(1, Math.min(5, n >> 1))
  const mid = (part: number[]): number => part.sort((a, b) => a - b)[part.length >> 1]!
  let low = Infinity
  let high = -Infinity
  for (let i = 0; i + few <= n; i += few) {
    const here = mid(track.columns.slice(i, i + few))
    low = Math.min(low, here)
    high = Math.max(high, here)
  }
  const end = mid(track.columns.slice(n - few))
  return Math.max(high, end) - Math.min(low, end)
}
