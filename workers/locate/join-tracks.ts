import type { Track } from './link.ts'

/** Joins pieces of one ball: those that a post or a lost stretch cut apart (`missBetween`), and those that show two sides of it or follow each other at
 *  once (`missBeside`). */
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
        const miss =
          missBeside(left[i]!, left[j]!, radius_columns) ??
          missBetween(left[i]!, left[j]!, time_s, radius_columns, longest_frames)
        if (miss !== undefined && (best === undefined || miss < best.miss)) best = { i, j, miss }
      }
    }
    if (best) {
      const a = left[best.i]!
      const b = left[best.j]!
      left.splice(Math.max(best.i, best.j), 1)
      left.splice(Math.min(best.i, best.j), 1, joined(a, b))
      merged = true
    }
  }
  return left
}

/** The earlier track's detections, then the later one's; half of the frames that both have from either. */
function joined(a: Track, b: Track): Track {
  const cut = Math.floor((a.frames[a.frames.length - 1]! + b.frames[0]!) / 2)
  const kept = a.frames.filter((frame) => frame <= cut).length
  const dropped = b.frames.filter((frame) => frame <= cut).length
  const both = (one: readonly number[], other: readonly number[]): number[] => [
    ...one.slice(0, kept),
    ...other.slice(dropped),
  ]
  return {
    frames: both(a.frames, b.frames),
    columns: both(a.columns, b.columns),
    strengths: both(a.strengths, b.strengths),
  }
}

/** Centres nearer to each other than this are those of one ball [radii]: two cannot come nearer than 2. */
const ONE_BALL = 1.6
/** Frames from the end of one track to the start of another that begins where it left off. */
const NO_TIME = 3

/** Distance between tracks that show two sides of one ball (the rims of a glass one), or of which one begins where and when the other ends. */
function missBeside(a: Track, b: Track, radius: number): number | undefined {
  const aEnd = a.frames[a.frames.length - 1]!
  const bStart = b.frames[0]!
  const bEnd = b.frames[b.frames.length - 1]!
  if (bStart <= a.frames[0]! || bEnd <= aEnd || bStart > aEnd + NO_TIME) return undefined
  // One that hardly goes on after the other is its shadow all along.
  if (bEnd - aEnd < aEnd - bStart) return undefined
  const beside = b.frames.filter((frame) => frame === bStart || frame < aEnd)
  const most = Math.max(...beside.map((frame, i) => Math.abs(columnIn(a, frame) - b.columns[i]!)))
  return most < ONE_BALL * radius ? most : undefined
}

/** Where a track is at a frame after its first; after its last it stays there. */
function columnIn({ frames, columns }: Track, frame: number): number {
  const after = frames.findIndex((at) => at >= frame)
  if (after < 0) return columns[columns.length - 1]!
  const share = (frame - frames[after - 1]!) / (frames[after]! - frames[after - 1]!)
  return columns[after - 1]! + share * (columns[after]! - columns[after - 1]!)
}

/** By how much the earlier piece, carried on at the mean of both speeds, misses the later one. The last r ÷ speed frames beside the gap are not trusted
 *  with the speed, because a half hidden ball's middle bends there. */
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
