import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import {
  laneGeometry,
  planeReport,
  samplesOf,
  slopeReport,
  sourcesOfRun,
  allSources,
  propagate,
} from '../../workers/measure/index.ts'
import { noDeviations, type Plane, type Px, type SlowlaneRecord } from '../../workers/record/index.ts'
import { exact, sceneRecord } from '../unit/measure/scene.ts'

// Source of the truth: clips of an independent renderer (see tests/data/clips/README.md); positions are exact projections, rounded to 1e-4 px.

interface Truth {
  readonly image: { readonly width: number; readonly height: number }
  readonly time: { readonly capture_fps: number; readonly playback_fps: number; readonly frames: number }
  readonly camera: { readonly position_m: readonly number[] }
  readonly rectangle: {
    readonly corners_px: readonly (readonly [number, number])[]
    readonly width_m: number
    readonly height_m: number
  }
  readonly scale_bar: { readonly ends_px: readonly (readonly [number, number])[]; readonly length_m: number }
  readonly plumb_line: { readonly ends_px: readonly (readonly [number, number])[] }
  readonly lanes: readonly {
    readonly name: string
    readonly theta_rad: number
    readonly centre_line_px: readonly (readonly [number, number])[]
  }[]
  readonly balls: readonly { readonly id: string; readonly lane: string }[]
  readonly frames: readonly {
    readonly i: number
    readonly balls: readonly {
      readonly id: string
      readonly t: number
      readonly s: number
      readonly x: number
      readonly y: number
    }[]
  }[]
}

const point = ([x, y]: readonly [number, number]): Px => ({ x, y })

function truthOf(name: string): Truth {
  return JSON.parse(readFileSync(new URL(`../data/clips/${name}.truth.json`, import.meta.url), 'utf8')) as Truth
}

function recordOf(
  truth: Truth,
  laneName: string,
  ballId: string,
  plane: 'rectangle' | 'bar',
): { record: SlowlaneRecord; s: number[]; t: number[] } {
  const lane = truth.lanes.find((l) => l.name === laneName)!
  const seen = truth.frames.flatMap((frame) =>
    frame.balls.filter((ball) => ball.id === ballId).map((ball) => ({ ...ball, frame: frame.i })),
  )
  const record = sceneRecord({ s: seen.map(() => 0) })
  const view = record.views['v']!
  view.width = truth.image.width
  view.height = truth.image.height
  view.timebase = { kind: 'filmed-at', rate_hz: exact(truth.time.capture_fps), spacing: 'even' }
  view.lens = { kind: 'typed', k1: exact(0) }
  const corners = truth.rectangle.corners_px.map(point)
  const planes: Record<typeof plane, Plane> = {
    rectangle: {
      kind: 'rectangle',
      id: 'p',
      name: 'board',
      corners: [corners[0]!, corners[1]!, corners[2]!, corners[3]!],
      width_m: exact(truth.rectangle.width_m),
      height_m: exact(truth.rectangle.height_m),
    },
    bar: {
      kind: 'bars',
      id: 'p',
      name: 'bar',
      bars: [
        {
          id: 'b',
          a: point(truth.scale_bar.ends_px[0]!),
          b: point(truth.scale_bar.ends_px[1]!),
          length_m: exact(truth.scale_bar.length_m),
        },
      ],
    },
  }
  view.planes = { p: planes[plane] }
  view.distance_m = exact(Math.abs(truth.camera.position_m[1]!))
  view.lines['A']!.points = [lane.centre_line_px[0]!, lane.centre_line_px.at(-1)!].map(point)
  view.gravity = [
    {
      id: 'g',
      kind: 'plumb',
      a: point(truth.plumb_line.ends_px[0]!),
      b: point(truth.plumb_line.ends_px[1]!),
      planeId: null,
    },
  ]
  record.mountings['m']!.slope = { kind: 'from-picture', viewId: 'v' }
  const { marks } = record.runs['run']!
  marks.frame = seen.map((ball) => ball.frame)
  marks.ticks = marks.frame
  marks.x = seen.map((ball) => ball.x)
  marks.y = seen.map((ball) => ball.y)
  return { record, s: seen.map((ball) => ball.s), t: seen.map((ball) => ball.t) }
}

const passages = ['a_single_v', 'b_three_as_cut', 'c_three_sanded', 'd_level_both_ways'].flatMap((name) => {
  const truth = truthOf(name)
  return truth.balls.map((ball) => ({ name, truth, lane: ball.lane, ball: ball.id }))
})

describe('rendered clips with known truth', () => {
  test.each(passages)(
    '$name, ball $ball: the rectangle gives its places within 0.1 % and its times exactly',
    ({ truth, lane, ball }) => {
      const { record, s, t } = recordOf(truth, lane, ball, 'rectangle')
      const found = samplesOf(record, 'run')
      if (found.kind !== 'samples') throw new Error(found.kind)
      const last = s.length - 1
      const [from, to] = [s.indexOf(Math.min(...s)), s.indexOf(Math.max(...s))]
      expect(Math.abs((found.s_m[to]! - found.s_m[from]!) / (s[to]! - s[from]!) - 1)).toBeLessThan(1e-3)
      for (let i = 0; i <= last; i++)
        expect(Math.abs(found.s_m[i]! - found.s_m[from]! - (s[i]! - s[from]!))).toBeLessThan(5e-5)
      for (let i = 0; i <= last; i++) expect(found.t_s[i]! - found.t_s[0]! - (t[i]! - t[0]!)).toBeCloseTo(0, 5)
      expect(Math.max(...found.across_m.map(Math.abs))).toBeLessThan(1e-4)
    },
  )

  test.each(passages)(
    '$name, ball $ball: by the bar alone its length is within the stated U, pitch unknown',
    ({ truth, lane, ball }) => {
      const { record, s } = recordOf(truth, lane, ball, 'bar')
      record.sources['pitch'] = {
        id: 'pitch',
        name: 'pitch',
        unit: 'rad',
        distribution: { kind: 'rectangular', half: 0.17 },
      }
      record.views['v']!.pitch_rad = { value: 0, sources: ['pitch'] }
      const [from, to] = [s.indexOf(Math.min(...s)), s.indexOf(Math.max(...s))]
      const length = propagate(sourcesOfRun(record, 'run'), allSources(record), (deviations) => {
        const found = samplesOf(record, 'run', deviations)
        return found.kind === 'samples' ? found.s_m[to]! - found.s_m[from]! : undefined
      })!
      expect(Math.abs(length.value - (s[to]! - s[from]!))).toBeLessThan(2 * length.u)
    },
  )

  test.each(passages)(
    '$name, ball $ball: the slope from the plumb line is within its stated U',
    ({ truth, lane, ball }) => {
      const { record } = recordOf(truth, lane, ball, 'rectangle')
      const report = slopeReport(record, 'm')
      if (report.kind !== 'slope-report') throw new Error(report.kind)
      const theta = truth.lanes.find((l) => l.name === lane)!.theta_rad
      expect(Math.abs(report.whole.value - theta)).toBeLessThan(2 * report.whole.u)
      // The points are placed exactly here, so that far less than U is off.
      expect(Math.abs(report.whole.value - theta)).toBeLessThan(1e-4)
    },
  )

  test('the corners of each clip’s rectangle are what a camera can see', () => {
    for (const { truth, lane, ball } of passages) {
      const { record } = recordOf(truth, lane, ball, 'rectangle')
      expect(laneGeometry(record, 'v', 'A', noDeviations).kind).toBe('lane')
      expect(planeReport(record, 'v', 'p')).toMatchObject({ kind: 'plane-report', arrows: [] })
    }
  })
})
