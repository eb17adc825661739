import { describe, expect, test } from 'vitest'
import { renderedSource, type RenderedBall, type RenderedScene } from '../../support/rendered-lane.ts'
import { findRuns, type FindProgress } from '../../../workers/locate/find-runs.ts'
import { laneLine, type LaneLine } from '../../../workers/locate/lane-line.ts'
import {
  doubtSentences,
  endSentence,
  gapSentence,
  noteSentence,
  runSentence,
} from '../../../workers/locate/sentences.ts'
import type { FindOutcome, FoundRun } from '../../../workers/locate/found-run.ts'

const WIDTH = 420
const HEIGHT = 76
const ROW = 36.4
const RADIUS = 11

/** A ball that enters from the left at `start` and rolls with constant deceleration. */
function rolling(start: number, speed: number, slowing = 0, more: Partial<RenderedBall> = {}): RenderedBall {
  return {
    radius: RADIUS,
    level: 60,
    at: (frame) => {
      const t = frame - start
      const x = -RADIUS - 2 + speed * t - 0.5 * slowing * t * t
      return t < 0 || x > WIDTH + 2 * RADIUS ? undefined : { x, y: ROW }
    },
    ...more,
  }
}

function scene(more: Partial<RenderedScene> & { balls: readonly RenderedBall[] }): RenderedScene {
  return { width: WIDTH, height: HEIGHT, frames: 150, lipRow: ROW + 6, noise: 1.5, ...more }
}

const line = (off = 0, radius: number | undefined = RADIUS): LaneLine => {
  return laneLine(
    'A',
    [
      [4, ROW + off],
      [WIDTH - 4, ROW + off],
    ],
    radius,
  )
}

const times = (frames: number, fps = 240): Float64Array => Float64Array.from({ length: frames }, (_, i) => i / fps)

async function find(what: RenderedScene, lanes: LaneLine[] = [line()]): Promise<FindOutcome> {
  const outcome = await findRuns(renderedSource(what), lanes, { time_s: times(what.frames) })
  if (outcome.kind !== 'found') throw new Error('nobody cancelled')
  return outcome
}

function errors(run: FoundRun, ball: RenderedBall): { bias: number; scatter: number; worst: number; covered: number } {
  const e = [...run.frames].map((frame, i) => run.x[i]! - ball.at(frame)!.x)
  const bias = e.reduce((a, b) => a + b, 0) / e.length
  const scatter = Math.sqrt(e.reduce((a, v) => a + (v - bias) ** 2, 0) / e.length)
  const covered = e.filter((v, i) => Math.abs(v) <= 2 * run.sigma[i]!).length / e.length
  return { bias, scatter, worst: Math.max(...e.map(Math.abs)), covered }
}

describe('finding runs', () => {
  test('follows one ball to a few hundredths of a pixel on every frame', async () => {
    const ball = rolling(5, 3.3, 0.004)
    const { runs, notes } = await find(scene({ balls: [ball] }))
    expect(runs).toHaveLength(1)
    const figures = errors(runs[0]!, ball)
    expect(Math.abs(figures.bias)).toBeLessThan(0.02)
    expect(figures.scatter).toBeLessThan(0.04)
    expect(figures.covered).toBeGreaterThan(0.9)
    expect(runs[0]!.direction).toBe(1)
    expect(Math.abs(runs[0]!.radius_px - RADIUS)).toBeLessThan(0.4)
    expect(notes).toEqual([])
    expect(runSentence(runs[0]!)).toContain('marks in frames')
  })

  test('a ball lit from one side is where its outline is, not nearer to its bright side', async () => {
    // Half way in grey levels lies further in on the dark side: fitted in grey levels this ball is off by .15 px. What is left comes from an exponent
    // kept lower than that of light, for the sake of compressed clips.
    const ball = rolling(5, 3.3, 0.004, { level: 85, litFromLeft: 55 })
    const { runs } = await find(scene({ balls: [ball] }))
    expect(runs).toHaveLength(1)
    expect(Math.abs(errors(runs[0]!, ball).bias)).toBeLessThan(0.07)
  })

  test('needs no radius told', async () => {
    const ball = rolling(5, 3.3)
    const { runs } = await find(scene({ balls: [ball] }), [
      laneLine('A', [
        [4, ROW],
        [WIDTH - 4, ROW],
      ]),
    ])
    expect(runs).toHaveLength(1)
    expect(Math.abs(runs[0]!.radius_px - RADIUS)).toBeLessThan(0.4)
    expect(Math.abs(errors(runs[0]!, ball).bias)).toBeLessThan(0.03)
  })

  test('shifting the scene by whole and part pixels shifts every mark by as much', async () => {
    const runs: FoundRun[] = []
    for (const shift of [0, 0.37, 3]) {
      const ball = rolling(5, 3.1)
      const moved = {
        ...ball,
        at: (frame: number) => {
          const p = ball.at(frame)
          return p && { x: p.x + shift, y: p.y }
        },
      }
      const outcome = await find(scene({ balls: [moved], plain: true, noise: 0.4 }))
      runs.push(outcome.runs[0]!)
    }
    const at = (run: FoundRun): Map<number, number> => new Map([...run.frames].map((frame, i) => [frame, run.x[i]!]))
    const base = at(runs[0]!)
    for (const [i, shift] of [
      [1, 0.37],
      [2, 3],
    ] as const) {
      let sum = 0
      let n = 0
      for (const [frame, x] of at(runs[i]!)) {
        const before = base.get(frame)
        if (before === undefined) continue
        expect(Math.abs(x - before - shift)).toBeLessThan(0.12)
        sum += x - before - shift
        n++
      }
      expect(n).toBeGreaterThan(90)
      expect(Math.abs(sum / n)).toBeLessThan(0.01)
    }
  })

  test('three balls in one lane are three runs, none swapped', async () => {
    const balls = [rolling(0, 3), rolling(25, 3.1), rolling(60, 2.9)]
    const { runs } = await find(scene({ balls }))
    expect(runs).toHaveLength(3)
    runs.forEach((run, i) => expect(errors(run, balls[i]!).worst).toBeLessThan(0.3))
  })

  test('a post before the lane: one run, hidden frames without marks, half hidden ones by one edge', async () => {
    const ball = rolling(3, 2.8)
    const { runs } = await find(scene({ balls: [ball], posts: [{ from: 190, to: 222, level: 95 }] }))
    expect(runs).toHaveLength(1)
    const run = runs[0]!
    const figures = errors(run, ball)
    expect(figures.covered).toBeGreaterThan(0.88)
    expect(figures.worst).toBeLessThan(0.8)
    const hidden = run.gaps.reduce((sum, gap) => sum + gap.to - gap.from + 1, 0)
    expect(hidden).toBeGreaterThanOrEqual(3)
    expect(
      run.frames.filter((frame, i) => run.doubt[i] !== 0 && Math.abs(ball.at(frame)!.x - 206) < 30).length,
    ).toBeGreaterThan(2)
    expect(gapSentence(run.gaps[0]!.from, run.gaps[0]!.to, run.gaps[0]!.reason)).toMatch(/frame/)
    expect(doubtSentences(1)[0]).toContain('one edge')
  })

  test('a ball that stops and rolls back is cut into two runs of opposite sense', async () => {
    const ball: RenderedBall = {
      radius: RADIUS,
      level: 60,
      at: (frame) => ({ x: 30 + 4.4 * frame - 0.0293 * frame * frame, y: ROW }),
    }
    const { runs } = await find(scene({ balls: [ball] }))
    expect(runs.map((run) => run.direction)).toEqual([1, -1])
    expect(['turn', 'rest']).toContain(runs[0]!.ends)
    expect(endSentence(runs[0]!.ends, 'ends')).toMatch(/turns back|lies still/)
    for (const run of runs) expect(errors(run, ball).worst).toBeLessThan(0.25)
  })

  test('a ball that waits, released late, keeps no mark of its rest although it lay there most of the clip', async () => {
    const ball: RenderedBall = {
      radius: RADIUS,
      level: 60,
      at: (frame) => ({ x: 60 + (frame < 95 ? 0 : 0.06 * (frame - 95) ** 2), y: ROW }),
    }
    const { runs } = await find(scene({ balls: [ball] }))
    expect(runs).toHaveLength(1)
    expect(runs[0]!.frames[0]).toBeGreaterThan(88)
    expect(runs[0]!.frames[0]).toBeLessThan(110)
    expect(errors(runs[0]!, ball).worst).toBeLessThan(0.35)
  })

  test('repeated frames carry no mark and are named', async () => {
    const ball = rolling(5, 3.3)
    const repeats = new Set([40, 61, 82])
    const { runs, notes } = await find(scene({ balls: [ball], repeats }))
    expect(notes).toContainEqual({ kind: 'repeated-frames', frames: [40, 61, 82] })
    for (const frame of repeats) expect(runs[0]!.frames).not.toContain(frame)
    expect(runs[0]!.gaps.filter((gap) => gap.reason === 'repeated-frame')).toHaveLength(3)
  })

  test('flicker is divided out', async () => {
    const ball = rolling(5, 3.3)
    const { runs, notes } = await find(scene({ balls: [ball], gain: (frame) => 1 + 0.08 * Math.sin(frame * 1.3) }))
    expect(runs).toHaveLength(1)
    expect(errors(runs[0]!, ball).scatter).toBeLessThan(0.06)
    expect(notes.map((note) => note.kind)).toContain('flicker')
  })

  test('a lane line drawn 3 px beside the path still serves, and the tool offers to move it', async () => {
    const ball = rolling(5, 3.3)
    const { runs, notes } = await find(scene({ balls: [ball] }), [line(3)])
    expect(runs).toHaveLength(1)
    expect(Math.abs(errors(runs[0]!, ball).bias)).toBeLessThan(0.05)
    const off = notes.find((note) => note.kind === 'line-off')
    expect(off?.kind === 'line-off' ? off.across_px : NaN).toBeCloseTo(-3, 0)
    expect(noteSentence(off!)).toContain('above your line')
  })

  test('an empty lane, and a lane line outside the picture, give no run and a sentence', async () => {
    const empty = await find(scene({ balls: [] }))
    expect(empty.runs).toEqual([])
    expect(noteSentence(empty.notes[0]!)).toContain('nothing')
    const outside = await find(scene({ balls: [rolling(5, 3)] }), [
      laneLine(
        'A',
        [
          [4, -80],
          [400, -80],
        ],
        RADIUS,
      ),
    ])
    expect(outside.runs).toEqual([])
    expect(outside.notes.map((note) => note.kind)).toEqual(['lane-outside'])
  })

  test('a soft shadow and a hand moving through invent no run', async () => {
    const hand = (frame: number, x: number, y: number, value: number): number => {
      const tip = 4 * frame - 120
      const edge = tip - 25 * Math.sin(y / 20)
      return x < edge && x > edge - 150 ? 0.55 * value + 20 * Math.sin(x / 9 + frame / 7) : value
    }
    const soft = (frame: number, x: number, _y: number, value: number): number => {
      return value * (1 - 0.18 * Math.exp(-(((x - 3 * frame) / 30) ** 2)))
    }
    for (const over of [hand, soft]) {
      const { runs } = await find(scene({ balls: [], over }))
      expect(runs).toEqual([])
    }
  })

  test('two touching balls are refused, not swapped', async () => {
    const first = rolling(3, 3)
    const second: RenderedBall = {
      ...first,
      at: (frame) => {
        const p = first.at(frame)
        return p && { x: p.x - 2 * RADIUS, y: p.y }
      },
    }
    const { runs } = await find(scene({ balls: [first, second] }))
    for (const run of runs) {
      const worst = Math.min(errors(run, first).worst, errors(run, second).worst)
      expect(worst).toBeLessThan(0.5)
    }
  })

  test('a clip in small chunks gives the same runs as in one', async () => {
    const ball = rolling(5, 2.2)
    const what = scene({ balls: [ball], frames: 190 })
    const whole = await findRuns(renderedSource(what), [line()], { time_s: times(190) })
    const parts = await findRuns(renderedSource(what), [line()], { time_s: times(190), budget_bytes: 100 * 440 * 40 })
    expect(parts.runs).toHaveLength(1)
    expect(Math.abs(parts.runs[0]!.frames.length - whole.runs[0]!.frames.length)).toBeLessThan(4)
    expect(errors(parts.runs[0]!, ball).worst).toBeLessThan(0.25)
  })

  test('turned pictures, upright lanes, curved lanes and 10-bit frames serve alike', async () => {
    const ball = rolling(5, 3.3)
    const turned = await find(scene({ balls: [ball], rotation: 270, bitDepth: 10 }))
    expect(turned.runs).toHaveLength(1)
    expect(errors(turned.runs[0]!, ball).scatter).toBeLessThan(0.05)
    const ways: [string, (frame: number) => { x: number; y: number }][] = [
      ['upright', (frame) => ({ x: 40.3, y: 2.4 * frame - 20 })],
      ['inclined', (frame) => ({ x: 1.7 * frame - 10, y: 1.9 * frame - 15 })],
      ['curved', (frame) => ({ x: 30 + 240 * Math.sin(frame / 110), y: 270 - 240 * Math.cos(frame / 110) })],
    ]
    for (const [name, way] of ways) {
      const points = Array.from({ length: 60 }, (_, i) => way(2 + (i * 136) / 59))
      const lane = laneLine(
        name,
        points.map(({ x, y }) => [x, y] as const),
        RADIUS,
      )
      const what = { width: 320, height: 320, frames: 140, noise: 1.5, balls: [{ radius: RADIUS, level: 60, at: way }] }
      const { runs } = await find(what, [lane])
      expect(runs, name).toHaveLength(1)
      expect(runs[0]!.frames.length, name).toBeGreaterThan(90)
      const off = [...runs[0]!.frames].map((frame, i) =>
        Math.hypot(runs[0]!.x[i]! - way(frame).x, runs[0]!.y[i]! - way(frame).y),
      )
      expect(Math.max(...off), name).toBeLessThan(0.4)
      expect(off.reduce((x, y) => x + y, 0) / off.length, name).toBeLessThan(0.1)
    }
  })

  test('stops when told to, with what it has', async () => {
    const signal = { aborted: false }
    const seen: FindProgress[] = []
    const outcome = await findRuns(
      renderedSource(scene({ balls: [rolling(5, 3)] })),
      [line()],
      { time_s: times(150) },
      {
        signal,
        onProgress: (progress) => {
          seen.push(progress)
          if (progress.done >= 64) signal.aborted = true
        },
      },
    )
    expect(outcome.kind).toBe('cancelled')
    expect(outcome.framesRead).toBeLessThan(100)
    expect(seen[0]).toMatchObject({ done: 32, total: 150, stage: 'reading' })
  })
})
