import { describe, expect, test } from 'vitest'
import { allSources, implicitSources, samplesOf, slopeOf, sourcesOfRun } from '../../../workers/measure/index.ts'
import { sourceId } from '../../../workers/measure/source-ids.ts'
import { type SlowlaneRecord, standardUncertainty } from '../../../workers/record/index.ts'
import { frontal } from './pinhole.ts'
import { barOf, exact, onLane, sceneRecord } from './scene.ts'
import { see } from './pinhole.ts'

const stated = (id: string, unit: 'm' | 'rad' | '1' | 's' | 'Hz', u: number, relative = false) => ({
  id,
  name: id,
  unit,
  ...(relative ? { relative } : {}),
  distribution: { kind: 'normal' as const, u },
})

/** Scenes that use every kind of source between them. */
function scenes(): Record<string, SlowlaneRecord> {
  const camera = { ...frontal, pitch_rad: 0.1, yaw_rad: 0.05 }
  const rectangle = sceneRecord({
    camera,
    sources: [
      stated('w', 'm', 1e-4),
      stated('h', 'm', 1e-4),
      stated('near', 'm', 1e-3),
      stated('far', 'm', 0.05),
      stated('rate', '1', 1e-3, true),
      stated('line', 's', 1e-7),
    ],
    view: (view, look) => {
      const plane = view.planes['p']!
      if (plane.kind !== 'rectangle') throw new Error('a rectangle')
      plane.width_m.sources = ['w']
      plane.height_m.sources = ['h']
      view.lines['A']!.nearer_m = { value: 0.005, sources: ['near'] }
      view.distance_m.sources = ['far']
      view.timebase = { kind: 'filmed-at', rate_hz: { value: 240, sources: ['rate'] }, spacing: 'even' }
      view.shutter = { lineTime_s: { value: 1e-6, sources: ['line'] }, reads: 'right' }
      delete view.lens
      view.gravity = [{ id: 'g', kind: 'plumb', a: look(0.45, -0.2), b: look(0.45, 0), planeId: null }]
    },
    clip: (clip) => {
      clip.pieces = [{ fromFrame: 7, rate_hz: 120, uRelative: 0.01 }]
    },
  })
  rectangle.mountings['m']!.slope = { kind: 'from-picture', viewId: 'v' }
  const bars = sceneRecord({
    camera,
    plane: (look) => barOf(look, -0.1),
    sources: [
      stated('pitch', 'rad', 0.05),
      stated('yaw', 'rad', 0.02),
      stated('far', 'm', 0.1),
      stated('bar', 'm', 1e-4),
      stated('drift', '1', 1e-4),
      stated('tilt', 'rad', 1e-3),
    ],
    view: (view) => {
      view.pitch_rad.sources = ['pitch']
      view.yaw_rad.sources = ['yaw']
      view.distance_m.sources = ['far']
      const plane = view.planes['p']!
      if (plane.kind === 'bars') plane.bars[0]!.length_m.sources = ['bar']
      view.timebase = { kind: 'file', drift: { value: 0, sources: ['drift'] } }
      delete view.lines['A']!.nearer_m
    },
  })
  bars.mountings['m']!.slope = { kind: 'angle', angle_rad: { value: 0.03, sources: ['tilt'] } }
  const tape = sceneRecord({
    camera,
    sources: [
      stated('tape', 'm', 1e-4),
      stated('paper', '1', 1e-3, true),
      stated('apart', 's', 1e-3),
      stated('rod', 'm', 1e-4),
    ],
    line: () => ({
      laneId: 'A',
      planeId: null,
      shape: 'curve',
      points: [0, 0.1, 0.3, 0.5].map((s) => see(camera, onLane(s))),
      ticks: [0, 0.1, 0.25, 0.4, 0.5].map((s) => ({ at: see(camera, onLane(s)), s_m: s })),
      tickPosition_m: { value: 0, sources: ['tape', 'paper'] },
    }),
    view: (view) => {
      view.timebase = {
        kind: 'measured',
        clock: { kind: 'two-frames', clipId: 'c', first: 0, last: 20, apart_s: { value: 0.1, sources: ['apart'] } },
        spacing: 'even',
      }
    },
  })
  tape.mountings['m']!.slope = {
    kind: 'along',
    stations: [
      { s_m: 0, height_m: 0.1 },
      { s_m: 0.25, height_m: 0.09 },
      { s_m: 0.5, height_m: 0.08 },
    ],
    height_m: { value: 0, sources: ['rod'] },
  }
  const points = sceneRecord({
    camera,
    sources: [stated('board', 'm', 1e-4), stated('print', '1', 1e-3, true)],
    plane: (look) => ({
      kind: 'points',
      id: 'p',
      name: 'board',
      points: [0, 0.2, 0.4].flatMap((x) => [0, 0.2].map((y) => ({ at: look(x + 0.1, y - 0.1), x_m: x, y_m: y }))),
      position_m: { value: 0, sources: ['board', 'print'] },
      nearer_m: exact(0),
    }),
    view: (view) => {
      view.lens = { kind: 'edges', edges: [] }
      const edge = (y: number) => Array.from({ length: 8 }, (_, i) => see(camera, [0.1 * i - 0.05, y, 0]))
      view.lens.edges = [edge(-0.25), edge(0.05)]
    },
  })
  return { rectangle, bars, tape, points }
}

/** Everything a run's measurement says, as one list of numbers. */
function reading(record: SlowlaneRecord, deviations: ReadonlyMap<string, number>): number[] {
  const samples = samplesOf(record, 'run', deviations)
  const slope = slopeOf(record, record.mountings['m']!, deviations)
  if (samples.kind !== 'samples' || slope.kind !== 'slope') throw new Error(`${samples.kind} ${slope.kind}`)
  return [...samples.t_s, ...samples.s_m, slope.slope_rad, ...(slope.along?.slope_rad ?? [])]
}

describe('the sources of a run', () => {
  test.each(Object.entries(scenes()))('%s: what is listed moves it, and nothing else does', (_, record) => {
    const sources = allSources(record)
    const listed = new Set(sourcesOfRun(record, 'run'))
    const plain = reading(record, new Map())
    const movers: string[] = []
    for (const [id, source] of Object.entries(sources)) {
      const u = standardUncertainty(source.distribution)
      const moved = reading(record, new Map([[id, u]]))
      if (moved.some((value, i) => Math.abs(value - plain[i]!) > 1e-12)) movers.push(id)
    }
    for (const id of movers) expect(listed).toContain(id)
    // Listed but idle may be only points along a straight stretch, or own parts that are replaced.
    const idle = [...listed].filter((id) => !movers.includes(id) && sources[id])
    expect(idle.length).toBeLessThanOrEqual(listed.size * 0.2)
    for (const id of listed) expect(Object.hasOwn(sources, id)).toBe(true)
  })

  test('ids are within 64 characters and never shared by different parts', () => {
    const long = 'x'.repeat(64)
    for (const id of Object.keys(implicitSources(scenes()['rectangle']!))) expect(id).toMatch(/^[A-Za-z0-9_-]{1,64}$/)
    expect(sourceId('place', long, long, '0', 'x')).toMatch(/^[A-Za-z0-9_-]{64}$/)
    expect(sourceId('place', 'a_b', 'c')).not.toBe(sourceId('place', 'a', 'b_c'))
    expect(sourceId('place', long, '1')).not.toBe(sourceId('place', long, '2'))
  })

  test('what nobody looked at is a source that says so; looking removes it', () => {
    const record = sceneRecord({
      view: (view) => {
        delete view.lens
        delete view.lines['A']!.nearer_m
      },
    })
    const before = implicitSources(record)
    expect(before['lens_v']!.unknown).toBe(true)
    expect(before['nearer_v_A']!.unknown).toBe(true)
    record.views['v']!.lens = { kind: 'typed', k1: exact(0) }
    record.views['v']!.lines['A']!.nearer_m = exact(0)
    const after = implicitSources(record)
    expect(after['lens_v']).toBeUndefined()
    expect(after['nearer_v_A']).toBeUndefined()
  })
})
