import { readFileSync } from 'node:fs'
import { loadTruth } from '../../samples/truth.ts'
import { footOnLine, laneLine, type LaneLine } from '../../workers/locate/lane-line.ts'
import type { FoundRun } from '../../workers/locate/found-run.ts'

export interface TruthBall {
  readonly id: string
  readonly lane: string
  readonly s: number
  readonly v: number
  readonly ox: number
  readonly oy: number
  readonly r: number
  readonly state: string
  readonly seen: number
}

export interface ClipTruth {
  readonly time: { readonly capture_fps: number; readonly frames: number }
  readonly lanes: readonly {
    readonly name: string
    readonly ball_radius_m: number
    readonly r_e_m: number
    readonly centre_line_px: readonly (readonly [number, number])[]
  }[]
  readonly balls: readonly {
    readonly id: string
    readonly lane: string
    readonly surface: string
    readonly radius_m: number
  }[]
  readonly frames: readonly { readonly i: number; readonly t: number; readonly balls: readonly TruthBall[] }[]
}

/** Reads a clip's truth file as the generator wrote it (trusted test data). */
export function readTruth(path: string): ClipTruth {
  return JSON.parse(readFileSync(path, 'utf8')) as ClipTruth
}

/** Lane lines as a person would draw them: through the ball's centre, moved across by `off_px`. */
export function truthLanes(truth: ClipTruth, radius_px: number | undefined, off_px = 0): LaneLine[] {
  return truth.lanes.map((lane) =>
    laneLine(
      lane.name,
      lane.centre_line_px.map(([x, y]) => [x, y + off_px] as const),
      radius_px,
    ),
  )
}

export interface RunFigures {
  readonly ball: string
  readonly surface: string
  readonly marks: number
  readonly clean: number
  /** Mean and standard deviation of found − true along the lane over clean marks, px. */
  readonly bias: number
  readonly scatter: number
  /** Share of all marks within 2 of their stated σ. */
  readonly covered: number
  /** Largest |found − true| of any mark, and of clean ones, px. */
  readonly worst: number
  readonly worstClean: number
  readonly statedSigma: number
  readonly lag1: number
  /** Scatter ÷ Cramér–Rao bound. */
  readonly boundRatio: number
  /** Share of the frames in which the ball is visible and moving that carry a mark. */
  readonly found: number
}

/** Compares a run with the ball that it follows; undefined where it follows none (an invented run). */
export function compareRun(run: FoundRun, truth: ClipTruth, line: LaneLine): RunFigures | undefined {
  const votes = new Map<string, number>()
  const lookup = (frame: number, id: string): TruthBall | undefined =>
    truth.frames[frame]?.balls.find((b) => b.id === id)
  run.frames.forEach((frame, i) => {
    for (const ball of truth.frames[frame]?.balls ?? []) {
      if (Math.hypot(ball.ox - run.x[i]!, ball.oy - run.y[i]!) < 0.5 * ball.r)
        votes.set(ball.id, (votes.get(ball.id) ?? 0) + 1)
    }
  })
  const [ball, count] = [...votes].sort((a, b) => b[1] - a[1])[0] ?? ['', 0]
  if (count < 0.8 * run.frames.length) return undefined
  const errors: number[] = []
  const clean: number[] = []
  let covered = 0
  run.frames.forEach((frame, i) => {
    const at = lookup(frame, ball)
    if (!at) return
    const error = run.s[i]! - footOnLine(line, at.ox, at.oy).s
    errors.push(error)
    if (run.doubt[i] === 0) clean.push(error)
    if (Math.abs(error) <= 2 * run.sigma[i]!) covered++
  })
  // A ball that smears all the way has no clean mark: all of them are compared then.
  if (clean.length === 0) clean.push(...errors)
  const mean = clean.reduce((a, b) => a + b, 0) / clean.length
  const scatter = Math.sqrt(clean.reduce((a, e) => a + (e - mean) ** 2, 0) / (clean.length - 1))
  const lineEnd = line.arc[line.arc.length - 1]!
  const own = new Set(run.frames)
  let there = 0
  let marked = 0
  for (let frame = run.frames[0]!; frame <= run.frames[run.frames.length - 1]!; frame++) {
    const at = lookup(frame, ball)
    if (!at || at.state !== 'visible') continue
    const s = footOnLine(line, at.ox, at.oy).s
    if (s < 0 || s > lineEnd) continue
    there++
    if (own.has(frame)) marked++
  }
  const sigmas = [...run.sigma].sort((a, b) => a - b)
  return {
    ball,
    surface: truth.balls.find((b) => b.id === ball)?.surface ?? '',
    marks: run.frames.length,
    clean: run.doubt.reduce((n, bits) => n + (bits === 0 ? 1 : 0), 0),
    bias: mean,
    scatter,
    covered: covered / errors.length,
    worst: Math.max(...errors.map(Math.abs)),
    worstClean: Math.max(...clean.map(Math.abs)),
    statedSigma: sigmas[sigmas.length >> 1]!,
    lag1: run.lag1,
    boundRatio: scatter / run.bound_px,
    found: marked / there,
  }
}

export function figuresLine(f: RunFigures): string {
  const n = (v: number, digits: number): string => v.toFixed(digits)
  return (
    `${f.ball} ${f.surface}: ${f.marks} marks (${f.clean} clean, ${n(100 * f.found, 1)} % of frames), ` +
    `bias ${n(f.bias, 3)} px, scatter ${n(f.scatter, 3)} px = ${n(f.boundRatio, 1)} × Cramér–Rao, ` +
    `stated σ ${n(f.statedSigma, 3)}, 2σ covers ${n(100 * f.covered, 1)} %, lag-1 ${n(f.lag1, 2)}, ` +
    `worst ${n(f.worst, 2)} (clean ${n(f.worstClean, 2)})`
  )
}

/** Truth of a scene that the project's own generator made, in the form used here. */
export async function readSceneTruth(path: string): Promise<ClipTruth> {
  const truth = await loadTruth(path)
  const raw = JSON.parse(readFileSync(path, 'utf8')) as { balls: ClipTruth['balls'] }
  const frames = Array.from({ length: truth.frames }, (_, i) => ({
    i,
    t: i / truth.capture_fps,
    balls: [] as TruthBall[],
  }))
  for (const track of truth.tracks) {
    track.frame.forEach((frame, i) => {
      frames[frame]?.balls.push({
        id: track.ball,
        lane: track.lane,
        s: track.s[i]!,
        v: track.v[i]!,
        ox: track.ox[i]!,
        oy: track.oy[i]!,
        r: track.r[i]!,
        state: track.state[i]!,
        seen: track.seen[i]!,
      })
    })
  }
  return {
    time: { capture_fps: truth.capture_fps, frames: truth.frames },
    lanes: truth.lanes.map((lane) => ({ ...lane, centre_line_px: lane.line_px })),
    balls: raw.balls,
    frames,
  }
}
