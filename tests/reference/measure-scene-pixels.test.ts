import { describe, expect, test } from 'vitest'
import { ensureScene } from '../../samples/scenes.ts'
import { followStillJob } from '../../workers/bridge/beside-frames/follow-still-job.ts'
import { readStringJob } from '../../workers/bridge/beside-frames/read-lines-job.ts'
import { settleCornersJob } from '../../workers/bridge/beside-frames/settle-corners-job.ts'
import type { FrameSource } from '../../workers/decode/frame-source.ts'
import { findJob } from '../../workers/locate/beside-frames/find-job.ts'
import { laneLine } from '../../workers/locate/lane-line.ts'
import { leastSettled_px, samplesOf, shakeFromFeatures, slopeReport } from '../../workers/measure/index.ts'
import type { Px } from '../../workers/record/index.ts'
import { nativeFrames, unwatched } from '../support/native-frames.ts'
import { point } from '../support/scene-lane.ts'
import { click_px, read, rectangle, staged, type Staged } from '../support/staged-scene.ts'

/** Places that were rough by hand, on what is seen in a frame. */
async function settled(
  frames: FrameSource,
  frame: number,
  corners: readonly Px[],
): Promise<{ at: Px[]; u_px: number }> {
  const rough = corners.map(({ x, y }, i) => ({ x: x + [2, -1.5, 1, -2][i % 4]!, y: y + [1, 1.2, -2, -1][i % 4]! }))
  const read = await settleCornersJob(frames, { frame, turn_deg: 0, corners: rough, outline: true }, unwatched)
  if (read.kind !== 'corners') throw new Error(read.kind)
  const seen = read.corners.flatMap((corner) => (corner.kind === 'corner' ? [corner] : []))
  expect(seen).toHaveLength(corners.length)
  return { at: seen.map((corner) => corner.at), u_px: Math.max(...seen.map((corner) => corner.u_px)) }
}

describe('plumb lines of a camera that looks down 8°, read from the pixels', () => {
  const seen = async (from: number, to: number) => {
    const { clip } = await ensureScene('plumb-pitch-8')
    const frames = nativeFrames(clip)
    const stage = await staged('plumb-pitch-8', 3)
    const { record, truth } = stage
    const view = record.views['v']!
    const corners = await settled(frames, 0, truth.rectangle!.corners_px.map(point))
    const board = rectangle(stage)
    const [p, q, r, t] = corners.at
    view.planes['p'] = { ...board, corners: [p!, q!, r!, t!], u_px: corners.u_px }
    record.mountings['m']!.slope = { kind: 'from-picture', viewId: 'v' }
    // Ends of the lane as a mark settles on a ball's centre.
    view.lines['A']!.u_px = 0.1
    const [top, low] = truth.plumb_lines[0]!.ends_px.map(point) as [Px, Px]
    const at = (y: number, off: number) => ({ x: top.x + ((y - top.y) / (low.y - top.y)) * (low.x - top.x) + off, y })
    const bottom = low.y - 12
    const [a, b] = [at(8 + from * (bottom - 8), 2), at(8 + to * (bottom - 8), -1.5)]
    const line = await readStringJob(frames, { frame: 0, turn_deg: 0, a, b, what: 'string' }, unwatched)
    frames.close()
    if (line.kind !== 'string') throw new Error(line.kind)
    const u_px = Math.max(leastSettled_px, line.u_px)
    view.gravity = [{ id: 'g', kind: 'plumb', a: line.a, b: line.b, planeId: null, u_px }]
    const report = slopeReport(record, 'm')
    if (report.kind !== 'slope-report') throw new Error(report.kind)
    const U_deg = (2 * report.whole.u * 180) / Math.PI
    const off_deg = ((report.whole.value - truth.lanes[0]!.slope_rad) * 180) / Math.PI
    if (process.env['FIGURES']) console.log('plumb', Math.hypot(b.x - a.x, b.y - a.y), off_deg, U_deg)
    return { long_px: Math.hypot(b.x - a.x, b.y - a.y), off_deg, U_deg }
  }

  test('one string of 390 px gives the slope within its stated U, which is below 0.05°', async () => {
    const { off_deg, U_deg, long_px } = await seen(0, 1)
    expect(long_px).toBeGreaterThan(385)
    expect(Math.abs(off_deg)).toBeLessThan(U_deg)
    expect(U_deg).toBeLessThan(0.05)
  }, 300_000)

  test('shorter strings state a larger U and keep to it', async () => {
    const [long, half, short] = [await seen(0, 1), await seen(0.3, 0.7), await seen(0.4, 0.6)]
    expect(half.U_deg).toBeGreaterThan(long.U_deg)
    expect(short.U_deg).toBeGreaterThan(half.U_deg)
    for (const { off_deg, U_deg } of [half, short]) expect(Math.abs(off_deg)).toBeLessThan(U_deg)
  }, 300_000)
})

describe('a clip filmed from the hand', () => {
  /** Everything from the pixels of the clip: corners of the cards settled, and followed as still things. */
  const steadied = async (noise_px: number) => {
    const { clip } = await ensureScene('shake')
    const frames = nativeFrames(clip)
    const stage = await staged('shake', 5, noise_px)
    const { record, truth } = stage
    const nominal = truth.rectangle!.corners_px.map(point)
    const corners = await settled(frames, 0, nominal)
    const [p, q, r, t] = corners.at
    const board = rectangle(stage)
    const view = record.views['v']!
    view.planes['p'] = { ...board, corners: [p!, q!, r!, t!], u_px: corners.u_px }
    // The lane is drawn in the same picture as the board: where the shake of that frame shows both.
    const mean = (list: readonly number[]) => list.reduce((sum, value) => sum + value, 0) / list.length
    const dx = mean(corners.at.map((corner, i) => corner.x - nominal[i]!.x))
    const dy = mean(corners.at.map((corner, i) => corner.y - nominal[i]!.y))
    const line = view.lines['A']!
    line.points = line.points.map(({ x, y }) => ({ x: x + dx, y: y + dy }))
    const followed = await followStillJob(
      frames,
      { turn_deg: 0, reference: 0, first: 0, last: truth.frames - 1, places: corners.at },
      unwatched,
    )
    frames.close()
    if (followed.kind !== 'followed') throw new Error(followed.kind)
    const shake = shakeFromFeatures(followed.frames, followed.paths, followed.referenceIndex)
    if (shake.kind !== 'shake') throw new Error(shake.kind)
    return { stage, shake, clip }
  }

  /** Scatter of the read places about the true ones, apart from one shift [m]. */
  const scatter = ({ record, s }: Staged): number => {
    const samples = samplesOf(record, 'run')
    if (samples.kind !== 'samples') throw new Error(samples.kind)
    const off = Array.from(samples.s_m, (value, i) => value - s[i]!)
    const mean = off.reduce((sum, value) => sum + value, 0) / off.length
    return Math.sqrt(off.reduce((sum, value) => sum + (value - mean) ** 2, 0) / off.length)
  }

  test('still things take its shake out: places scatter six times less, length and C_rr within U', async () => {
    const { stage: quiet, shake } = await steadied(0)
    const shaken = scatter(quiet)
    quiet.record.clips['c']!.shake = shake.track
    const steady = scatter(quiet)
    const { stage } = await steadied(click_px)
    stage.record.clips['c']!.shake = shake.track
    const put = read(stage)
    if (process.env['FIGURES']) console.log('shake', { shaken, steady, rms: shake.rms_px, u: shake.track.u_px }, put)
    expect(steady).toBeLessThan(shaken / 6)
    // In metres per pixel of this scene, the scatter left over is what the track says of itself, and its turn's.
    expect(Math.abs(read(quiet).lengthOff)).toBeLessThan(1e-3)
    expect(Math.abs(put.lengthOff)).toBeLessThan(put.lengthU)
    expect(Math.abs(put.crrOff)).toBeLessThan(put.crrU)
  }, 300_000)

  test('the ball is found in it, where each frame shows it', async () => {
    const { stage, shake, clip } = await steadied(0)
    const { truth, record } = stage
    const [a, b] = record.views['v']!.lines['A']!.points as [Px, Px]
    const long = Math.hypot(b.x - a.x, b.y - a.y)
    const frames = nativeFrames(clip)
    const found = await findJob(
      frames,
      {
        lanes: [
          laneLine(
            'A',
            [a, b].map(({ x, y }) => [x, y] as const),
          ),
        ],
        time_s: Float64Array.from({ length: truth.frames }, (_, i) => i / truth.capture_fps),
        turn_deg: 0,
        from: 0,
        to: truth.frames,
        find: true,
        token: 'shaken',
        shake: shake.track,
      },
      unwatched,
    )
    frames.close()
    if (found.kind !== 'found') throw new Error(found.kind)
    expect(found.says.join(' ')).toMatch(/camera moved by up to 6\.\d px/)
    expect(found.runs).toHaveLength(1)
    const [run] = found.runs
    const track = truth.tracks[0]!
    const seen = new Map([...track.frame].map((frame, i) => [frame, i]))
    const off = [...run!.frames].flatMap((frame, i) => {
      const k = seen.get(frame)
      if (k === undefined) return []
      const along = ((run!.x[i]! - track.ox[k]!) * (b.x - a.x) + (run!.y[i]! - track.oy[k]!) * (b.y - a.y)) / long
      return [{ along, sigma: run!.sigma[i]!, clean: run!.doubt[i] === 0 }]
    })
    const clean = off.filter((one) => one.clean).map(({ along }) => along)
    const bias = clean.reduce((sum, e) => sum + e, 0) / clean.length
    const spread = Math.sqrt(clean.reduce((sum, e) => sum + (e - bias) ** 2, 0) / (clean.length - 1))
    const covered = off.filter(({ along, sigma }) => Math.abs(along) <= 2 * sigma).length / off.length
    console.log(
      `shake A1: ${off.length} marks (${clean.length} clean), bias ${bias.toFixed(3)}, scatter ${spread.toFixed(3)} px, 2σ covers ${(100 * covered).toFixed(1)} %`,
    )
    expect(off.length).toBeGreaterThan(0.9 * track.frame.length)
    expect(Math.abs(bias)).toBeLessThanOrEqual(0.05)
    expect(spread).toBeLessThanOrEqual(0.13)
    expect(covered).toBeGreaterThanOrEqual(0.9)
    expect(covered).toBeLessThanOrEqual(0.99)
  }, 300_000)
})
