import { loadTruth, type Track, type Truth } from '../../samples/truth.ts'
import type { SeriesResult } from '../../workers/fit/index.ts'
import type { ReadFigures } from './main-job.ts'
import type { PicturePoint } from './stations-page.ts'

/** Least squares parabola through true places: its acceleration [m/s²], by the normal equations (no library of ours). */
function parabola(t: readonly number[], s: readonly number[], weight: readonly number[]): number {
  const n = t.length
  const mean = t.reduce((a, b) => a + b, 0) / n
  const u = t.map((x) => x - mean)
  const m = (p: number) => u.reduce((a, x, i) => a + weight[i]! * x ** p, 0)
  const r = (p: number) => u.reduce((a, x, i) => a + weight[i]! * x ** p * s[i]!, 0)
  const [s0, s1, s2, s3, s4] = [m(0), m(1), m(2), m(3), m(4)]
  const det = s0 * (s2 * s4 - s3 * s3) - s1 * (s1 * s4 - s3 * s2) + s2 * (s1 * s3 - s2 * s2)
  const third = s0 * (s2 * r(2) - r(1) * s3) - s1 * (s1 * r(2) - r(1) * s2) + r(0) * (s1 * s3 - s2 * s2)
  return (2 * third) / det
}

/** The frames of a ball's way in which all of it is in the picture. */
function wholeFrames(track: Track): Track {
  const kept = [...track.frame.keys()].filter((i) => track.state[i] === 'visible')
  const pick = <T>(column: readonly T[]): T[] => kept.map((i) => column[i]!)
  const { ball, lane } = track
  return {
    ball,
    lane,
    frame: pick(track.frame),
    t: pick(track.t),
    s: pick(track.s),
    v: pick(track.v),
    x: pick(track.x),
    y: pick(track.y),
    ox: pick(track.ox),
    oy: pick(track.oy),
    r: pick(track.r),
    seen: pick(track.seen),
    post: pick(track.post),
    state: pick(track.state),
  }
}

export type TrueLane = Truth['lanes'][number]

/** One ball of a clip as long as all of it is in the picture, its lane, and the corners of the rectangle clockwise from top left [px]. */
export async function filmedBall(
  file: string,
  ball: string,
): Promise<{ readonly seen: Track; readonly lane: TrueLane; readonly corners: readonly PicturePoint[] }> {
  const truth = await loadTruth(file)
  const track = truth.tracks.find((one) => one.ball === ball)
  const lane = truth.lanes.find(({ name }) => name === track?.lane)
  if (!track || !lane || !truth.rectangle) throw new Error(`${file} lacks ${ball}, its lane or the rectangle`)
  const [bottomLeft, bottomRight, topRight, topLeft] = truth.rectangle.corners_px.map(([x, y]) => ({ x, y }))
  return { seen: wholeFrames(track), lane, corners: [topLeft!, topRight!, bottomRight!, bottomLeft!] }
}

/** Places in a track's columns of every nth frame from the first on. */
export const everyNth = (seen: Track, every: number): number[] =>
  [...seen.frame.keys()].filter((i) => (seen.frame[i]! - seen.frame[0]!) % every === 0)

/** Those of the marked places that a series' first run rests on, with the σ that each had along the lane [m]. Resistance that goes with speed gives
 *  every choice of frames and weights an equivalent acceleration of its own: that of these is meant. */
export function usedMarks(
  { runs }: SeriesResult,
  marked: readonly number[],
): { readonly used: readonly number[]; readonly sigma_m: readonly number[] } {
  const { mark, sigma_m } = runs[0]!.residuals
  return { used: mark.map((k) => marked[k]!), sigma_m }
}

/** What the page should read, from the true places on the marked frames, all alike or by the `sigma` of their marks; the lane's line starts where the
 *  ball is first seen whole. */
export function trueFigures(
  seen: Track,
  lane: TrueLane,
  marked: readonly number[],
  { entryAt_m, exitAt_m }: Pick<ReadFigures, 'entryAt_m' | 'exitAt_m'>,
  sigma: readonly number[] = marked.map(() => 1),
): { readonly entry: number; readonly exit: number; readonly acceleration: number; readonly crr: number } {
  const speedAt = (from_m: number): number => {
    const s = from_m + seen.s[0]!
    const after = seen.s.findIndex((place) => place >= s)
    // A place that a mark's error puts a hair beyond the last true one goes on from there.
    const j = after < 0 ? seen.s.length - 1 : after
    const i = Math.max(0, j - 1)
    return seen.s[j] === seen.s[i]
      ? seen.v[j]!
      : seen.v[i]! + ((seen.v[j]! - seen.v[i]!) * (s - seen.s[i]!)) / (seen.s[j]! - seen.s[i]!)
  }
  const acceleration = parabola(
    marked.map((i) => seen.t[i]!),
    marked.map((i) => seen.s[i]!),
    sigma.map((one) => 1 / one ** 2),
  )
  return {
    entry: speedAt(entryAt_m),
    exit: speedAt(exitAt_m),
    acceleration,
    crr: Math.tan(lane.slope_rad) - (lane.k * acceleration) / (9.80665 * Math.cos(lane.slope_rad)),
  }
}
