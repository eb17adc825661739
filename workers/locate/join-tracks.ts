import type { Track } from './link.ts'

/** Joins pieces of one ball that a post or a lost stretch cut apart: the earlier piece, carried on at the mean of both
 *  speeds, must meet the later one. The last r ÷ speed frames beside the gap are not trusted with the speed, because a
 *  half hidden ball's middle bends there. */
export function joinTracks(
  tracks: readonly Track[],
  time_s: ArrayLike<number>,
  radius_columns: number,
  longest_frames: number,
): Track[] {
  const left = [...tracks].sort((a, b) => a.frames[0]! - b.frames[0]!)
  for (let merged = true; merged;) {
    merged = false
    let best: { i: number; j: number; miss: number } | undefined
    for (let i = 0; i < left.length; i++) {
      for (let j = 0; j < left.length; j++) {
        if (i === j) continue
        const miss = missBetween(left[i]!, left[j]!, time_s, radius_columns, longest_frames)
        if (miss !== undefined && (best === undefined || miss < best.miss)) best = { i, j, miss }
      }
    }
    if (best) {
      const a = left[best.i]!
      const b = left[best.j]!
      const joined = {
        frames: [...a.frames, ...b.frames],
        columns: [...a.columns, ...b.columns],
        strengths: [...a.strengths, ...b.strengths],
      }
      left.splice(Math.max(best.i, best.j), 1)
      left.splice(Math.min(best.i, best.j), 1, joined)
      merged = true
    }
  }
  return left
}

function missBetween(
  a: Track,
  b: Track,
  time_s: ArrayLike<number>,
  radius: number,
  longest: number,
): number | undefined {
  const gap = b.frames[0]! - a.frames[a.frames.length - 1]!
  if (gap <= 0 || gap > longest) return undefined
  const before = endSpeed(a, time_s, radius, true)
  const after = endSpeed(b, time_s, radius, false)
  if (!before || !after) return undefined
  const wait = after.time - before.time
  const way = after.column - before.column
  const speed = (before.speed + after.speed) / 2
  if (before.speed * after.speed <= 0) return undefined
  const ratio = before.speed / after.speed
  if (ratio < 0.5 || ratio > 2) return undefined
  const miss = Math.abs(way - speed * wait)
  return miss < Math.max(0.8 * radius, 0.15 * Math.abs(way)) ? miss : undefined
}

function endSpeed(
  track: Track,
  time_s: ArrayLike<number>,
  radius: number,
  atEnd: boolean,
): { time: number; column: number; speed: number } | undefined {
  const n = track.frames.length
  const edge = atEnd ? track.columns[n - 1]! : track.columns[0]!
  const trusted: number[] = []
  for (let k = 0; k < n && trusted.length < 16; k++) {
    const i = atEnd ? n - 1 - k : k
    if (Math.abs(track.columns[i]! - edge) < 1.2 * radius && n - k > 16) continue
    trusted.push(i)
  }
  if (trusted.length < 6) return undefined
  let t = 0
  let u = 0
  for (const i of trusted) {
    t += time_s[track.frames[i]!]! / trusted.length
    u += track.columns[i]! / trusted.length
  }
  let tt = 0
  let tu = 0
  for (const i of trusted) {
    tt += (time_s[track.frames[i]!]! - t) ** 2
    tu += (time_s[track.frames[i]!]! - t) * (track.columns[i]! - u)
  }
  return tt > 0 ? { time: t, column: u, speed: tu / tt } : undefined
}
