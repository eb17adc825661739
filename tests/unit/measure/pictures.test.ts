import { describe, expect, test } from 'vitest'
import {
  featureShift,
  readString,
  samplesOf,
  sameView,
  sentenceForShake,
  sentenceForView,
  shakeFromFeatures,
  type LumaPatch,
} from '../../../workers/measure/index.ts'
import { sceneRecord, seeded } from './scene.ts'

function normals(seed: number): () => number {
  const uniform = seeded(seed)
  return () => Array.from({ length: 12 }, uniform).reduce((sum, x) => sum + x, 0) / 2
}

/** A wall with spots and grain, seen shifted by (dx, dy): smooth functions of place, so that any sub-pixel shift is exact. */
function wall(seed: number): (x: number, y: number) => number {
  const uniform = seeded(seed)
  const spots = Array.from({ length: 220 }, () => ({
    x: 160 + 170 * uniform(),
    y: 120 + 130 * uniform(),
    r: 3 + 2 * uniform(),
    depth: 40 * uniform(),
  }))
  return (x, y) =>
    spots.reduce((sum, s) => {
      const d = (x - s.x) ** 2 + (y - s.y) ** 2
      return d > 9 * s.r * s.r ? sum : sum + s.depth * Math.exp(-d / (2 * (s.r * 0.6) ** 2))
    }, 120)
}
function photograph(
  scene: (x: number, y: number) => number,
  dx: number,
  dy: number,
  noise: number,
  seed: number,
  gain = 1,
  at = { x0: 0, y0: 0, width: 320, height: 240 },
): LumaPatch {
  const normal = normals(seed)
  const luma = new Float32Array(at.width * at.height)
  for (let j = 0; j < at.height; j++)
    for (let i = 0; i < at.width; i++)
      luma[j * at.width + i] = Math.round(gain * scene(at.x0 + i + 0.5 - dx, at.y0 + j + 0.5 - dy) + noise * normal())
  return { ...at, luma }
}

describe('still features', () => {
  const scene = wall(3)
  const reference = photograph(scene, 0, 0, 1.5, 1, 1, { x0: 100, y0: 80, width: 40, height: 40 })

  test.each([
    [0.3, -0.2],
    [2.6, 1.4],
    [-4.1, 3.3],
  ])('a shift of (%f, %f) px is found to a tenth and better, lit otherwise and with noise', (dx, dy) => {
    const now = photograph(scene, dx, dy, 1.5, 2, 0.85, { x0: 88, y0: 68, width: 64, height: 64 })
    const found = featureShift(reference, now)
    if (found.kind !== 'shift') throw new Error(found.kind)
    expect(Math.hypot(found.dx - dx, found.dy - dy)).toBeLessThan(Math.min(0.1, 2.5 * found.u_px))
    expect(found.u_px).toBeLessThan(0.12)
  })

  test('a blank wall and a straight edge hold nothing; what is covered is lost', () => {
    const at = { x0: 100, y0: 80, width: 40, height: 40 }
    const blank = photograph(() => 120, 0, 0, 1.5, 4, 1, at)
    expect(
      featureShift(
        blank,
        photograph(() => 120, 0, 0, 1.5, 5, 1, at),
      ).kind,
    ).not.toBe('shift')
    const edge = (x: number) => 60 + 100 / (1 + Math.exp(-(x - 120)))
    const found = featureShift(photograph(edge, 0, 0, 1.5, 6, 1, at), photograph(edge, 0.4, 0, 1.5, 7, 1, at))
    expect(found.kind).toBe('no-contrast')
    if (found.kind !== 'shift') expect(sentenceForShake(found)).toContain('corner')
  })
})

describe('shake', () => {
  const homes = [
    { x: 150, y: 120 },
    { x: 1100, y: 140 },
    { x: 640, y: 650 },
  ]
  const shakes = Array.from({ length: 21 }, (_, k) => ({
    dx: k === 0 ? 0 : 4 * Math.sin(0.9 * k),
    dy: k === 0 ? 0 : 3 * Math.cos(1.3 * k),
    turn: k === 0 ? 0 : 0.003 * Math.sin(0.7 * k),
  }))
  const about = { x: 640, y: 360 }
  const shaken = (p: { x: number; y: number }, k: number) => {
    const { dx, dy, turn } = shakes[k]!
    const [c, s] = [Math.cos(turn), Math.sin(turn)]
    return {
      x: about.x + c * (p.x - about.x) - s * (p.y - about.y) + dx,
      y: about.y + s * (p.x - about.x) + c * (p.y - about.y) + dy,
    }
  }
  const paths = (noise: number, seed = 1) => {
    const normal = normals(seed)
    return homes.map((home) => ({
      x: shakes.map((_, k) => shaken(home, k).x + noise * normal()),
      y: shakes.map((_, k) => shaken(home, k).y + noise * normal()),
    }))
  }
  const frames = shakes.map((_, k) => k)

  test('marks of a shaken clip give the same places as of a still one', () => {
    const record = sceneRecord()
    const still = samplesOf(record, 'run')
    const { marks } = record.runs['run']!
    const moved = marks.x.map((x, k) => shaken({ x, y: marks.y[k]! }, k))
    marks.x = moved.map((p) => p.x)
    marks.y = moved.map((p) => p.y)
    const wrong = samplesOf(record, 'run')
    const shake = shakeFromFeatures(frames, paths(0))
    if (shake.kind !== 'shake') throw new Error(shake.kind)
    record.clips['c']!.shake = shake.track
    const steadied = samplesOf(record, 'run')
    if (still.kind !== 'samples' || steadied.kind !== 'samples' || wrong.kind !== 'samples') throw new Error('samples')
    const worst = (found: typeof still) => Math.max(...found.s_m.map((s, i) => Math.abs(s - still.s_m[i]!)))
    expect(worst(wrong)).toBeGreaterThan(1e-3)
    expect(worst(steadied)).toBeLessThan(1e-9)
  })

  test('the noise of the features is counted in every mark’s σ, and is about what the steadied marks show', () => {
    const shake = shakeFromFeatures(frames, paths(0.1, 3))
    if (shake.kind !== 'shake') throw new Error(shake.kind)
    expect(shake.track.u_px).toBeGreaterThan(0.05)
    expect(shake.track.u_px).toBeLessThan(0.2)
    const record = sceneRecord()
    const before = samplesOf(record, 'run')
    record.clips['c']!.shake = { ...shake.track, u_px: 0.4 }
    const after = samplesOf(record, 'run')
    if (before.kind !== 'samples' || after.kind !== 'samples') throw new Error('samples')
    // 0.3 px of the mark and 0.4 px of the frame.
    expect(after.sigma_m[0]! / before.sigma_m[0]!).toBeCloseTo(0.5 / 0.3, 2)
  })

  test('one feature, two close ones, one that moves by itself, one lost: a sentence each', () => {
    const all = paths(0.05)
    const one = shakeFromFeatures(frames, all.slice(0, 1))
    const close = shakeFromFeatures(frames, [all[0]!, { x: all[0]!.x.map((x) => x + 10), y: all[0]!.y }])
    const wander = shakeFromFeatures(frames, [
      ...paths(0.02, 5),
      { x: frames.map((k) => 700 + 3 * Math.sin(k)), y: frames.map((k) => 200 + 2 * k) },
    ])
    const lost = shakeFromFeatures(frames, [all[0]!, { x: all[1]!.x.map((x, k) => (k === 7 ? NaN : x)), y: all[1]!.y }])
    expect([one.kind, close.kind, wander.kind, lost.kind]).toEqual([
      'features-too-few',
      'features-too-close',
      'feature-not-still',
      'features-lost',
    ])
    for (const problem of [one, close, wander, lost])
      if (problem.kind !== 'shake') expect(sentenceForShake(problem).length).toBeGreaterThan(30)
    expect(wander).toMatchObject({ feature: 3 })
  })
})

describe('one camera position or another', () => {
  const scene = wall(3)
  const first = photograph(scene, 0, 0, 1.5, 1)

  test('the same background in other light is the same view', () => {
    expect(sameView(first, photograph(scene, 0.05, 0.02, 1.5, 2, 0.9)).kind).toBe('same')
  })
  test('a camera that was touched is told by how far', () => {
    const found = sameView(first, photograph(scene, 2.5, -1.2, 1.5, 2))
    if (found.kind !== 'moved') throw new Error(found.kind)
    expect(Math.hypot(found.dx - 2.5, found.dy + 1.2)).toBeLessThan(0.1)
    expect(sentenceForView(found)).toContain('2.8 px')
  })
  test('another scene is another view, a blank one cannot tell, another size is none', () => {
    expect(sameView(first, photograph(wall(8), 0, 0, 1.5, 2)).kind).toBe('different')
    expect(
      sameView(
        photograph(() => 120, 0, 0, 1.5, 1),
        first,
      ).kind,
    ).toBe('cannot-tell')
    expect(sameView(first, { ...first, width: 160 }).kind).toBe('other-size')
  })
})

describe('edges', () => {
  test('a soft edge is read to a tenth of a pixel along its length', () => {
    const scene = (x: number, y: number) => 70 + 90 / (1 + Math.exp(-(y - 100.3 - 0.02 * x) / 0.7))
    const patch = photograph(scene, 0, 0, 2, 9)
    const found = readString(patch, { x: 20, y: 103 }, { x: 300, y: 104 }, 'edge')
    if (found.kind !== 'string') throw new Error(found.kind)
    for (const end of [found.a, found.b]) expect(Math.abs(end.y - (100.3 + 0.02 * end.x))).toBeLessThan(0.1)
  })
})
