import { describe, expect, test } from 'vitest'
import {
  inventedInUse,
  measuredRate,
  proposePieces,
  rateFlags,
  readBlink,
  readInvented,
  sentenceFor,
  sentenceForInvented,
  sentenceForRateFlag,
  timeRuleOf,
} from '../../../workers/measure/index.ts'
import { type ClipClock, noDeviations } from '../../../workers/record/index.ts'
import { see, frontal } from './pinhole.ts'
import { exact, sceneRecord, seeded } from './scene.ts'

function normals(seed: number): () => number {
  const uniform = seeded(seed)
  return () => Array.from({ length: 12 }, uniform).reduce((sum, x) => sum + x, 0) / 2
}

/** Brightness of a lamp that is on for `duty` of each period, filmed with an exposure of `open` frames. */
function blinking(
  rate_hz: number,
  blink_hz: number,
  frames: number,
  options: { duty?: number; open?: number; phase?: number; noise?: number; seed?: number } = {},
) {
  const { duty = 0.5, open = 0.3, phase = 0.13, noise = 1, seed = 1 } = options
  const normal = normals(seed)
  return Array.from({ length: frames }, (_, i) => {
    let on = 0
    for (let k = 0; k < 12; k++) {
      const t = (i + (open * k) / 12) / rate_hz
      const turn = t * blink_hz + phase
      if (turn - Math.floor(turn) < duty) on++
    }
    return 40 + (150 * on) / 12 + noise * normal()
  })
}
function flicker(rate_hz: number, flicker_hz: number, frames: number, depth = 6, noise = 1, seed = 3) {
  const normal = normals(seed)
  return Array.from(
    { length: frames },
    (_, i) => 120 + depth * Math.sin(2 * Math.PI * flicker_hz * (i / rate_hz) + 0.4) + noise * normal(),
  )
}

function rateFrom(clock: ClipClock, luma: readonly number[], tag: number | null = null) {
  const record = sceneRecord({
    view: (view) => {
      view.timebase = { kind: 'measured', clock, spacing: 'even' }
    },
    clip: (clip) => {
      clip.filmingRateTag_hz = tag
      clip.lamp = { x: 0, y: 0, width: 9, height: 9, fromFrame: 0, ticks: luma.map((_, i) => i), luma: [...luma] }
    },
  })
  return measuredRate(record, record.views['v']!, noDeviations)
}
const lamp = (blink_hz: number): ClipClock => ({ kind: 'lamp', clipId: 'c', blink_hz: exact(blink_hz) })
const mains = (flicker_hz: number): ClipClock => ({ kind: 'mains', clipId: 'c', flicker_hz: exact(flicker_hz) })

describe('the rate from a blinking lamp', () => {
  test('is within 2 u of the truth for slow and fast lamps, short and long pulses, over many phases', () => {
    let inside = 0
    let all = 0
    for (const rate of [120, 239.3])
      for (const blink of [1, 3.7, 10])
        for (const duty of [0.2, 0.5])
          for (const phase of [0.05, 0.41]) {
            const found = rateFrom(lamp(blink), blinking(rate, blink, 1000, { duty, phase, seed: all + 1 }))
            all++
            if (found.kind !== 'rate') continue
            if (Math.abs(found.rate_hz / rate - 1) < 2 * found.uRelative) inside++
            expect(found.uRelative).toBeLessThan(0.01)
          }
    expect(inside).toBeGreaterThanOrEqual(Math.floor(0.95 * all))
  })

  test('noise alone, a lamp that blinks once, and too few frames are refused with a sentence', () => {
    const normal = normals(5)
    const noise = rateFrom(
      lamp(1),
      Array.from({ length: 500 }, () => 100 + normal()),
    )
    const once = rateFrom(
      lamp(1),
      Array.from({ length: 500 }, (_, i) => (i < 200 ? 40 : i < 300 ? 190 : 40) + normal()),
    )
    const few = rateFrom(lamp(1), blinking(240, 60, 12))
    expect(noise.kind).toBe('blink-not-seen')
    expect(few.kind).toBe('blink-too-short')
    for (const problem of [noise, once, few]) {
      if (problem.kind === 'rate') throw new Error('this lamp tells nothing')
      expect(sentenceFor(problem).length).toBeGreaterThan(30)
    }
  })

  test('dropped frames that the timestamps tell do not spoil it', () => {
    const luma = blinking(240, 2, 2400)
    const kept = luma.map((_, i) => i).filter((i) => i % 97 !== 5)
    const reading = readBlink(
      kept,
      kept.map((i) => luma[i]!),
    )
    if (reading.kind !== 'blink') throw new Error(reading.kind)
    expect(2 / reading.frequency).toBeCloseTo(240, 0)
  })
})

describe('the rate from mains flicker', () => {
  test.each([
    [239.4, 100, null],
    [240, 120, 240],
    [120.6, 100, null],
    [59.94, 100, 60],
    [477, 120, 480],
    [30.05, 100, 30],
  ] as const)('%s frames per second under %s Hz', (rate, hz, tag) => {
    const found = rateFrom(mains(hz), flicker(rate, hz, 900), tag)
    if (found.kind !== 'rate') throw new Error(JSON.stringify(found))
    expect(Math.abs(found.rate_hz / rate - 1)).toBeLessThan(Math.max(3 * found.uRelative, 1e-6))
    expect(found.uRelative).toBeLessThan(1e-3)
  })

  test('a flicker that fits no rate cameras film at is not guessed', () => {
    const found = rateFrom(mains(100), flicker(137, 100, 900))
    expect(found.kind).toBe('flicker-ambiguous')
    if (found.kind !== 'rate') expect(sentenceFor(found)).toContain('mains')
  })
})

describe('the rate from a ball in free fall', () => {
  const falling = (rate: number, noise: number, frames = 60) => {
    const normal = normals(17)
    const camera = { ...frontal, pitch_rad: 0.1, y_m: -0.25 }
    const g = 9.80665
    return sceneRecord({
      camera,
      view: (view) => {
        const points = Array.from({ length: frames }, (_, i) => {
          const t = i / rate
          const p = see(camera, [0.3, -0.42 + (g * t * t) / 2, 0])
          return { x: p.x + noise * normal(), y: p.y + noise * normal() }
        })
        view.timebase = {
          kind: 'measured',
          spacing: 'even',
          clock: {
            kind: 'free-fall',
            clipId: 'c',
            planeId: 'p',
            frames: points.map((_, i) => i),
            ticks: points.map((_, i) => i),
            points,
          },
        }
      },
    })
  }

  test('is exact without noise and within 2 u with it', () => {
    const plain = falling(240, 0)
    const sure = measuredRate(plain, plain.views['v']!, noDeviations)
    if (sure.kind !== 'rate') throw new Error(sure.kind)
    expect(sure.rate_hz).toBeCloseTo(240, 4)
    const noisy = falling(237, 0.4)
    const found = measuredRate(noisy, noisy.views['v']!, noDeviations)
    if (found.kind !== 'rate') throw new Error(found.kind)
    expect(Math.abs(found.rate_hz / 237 - 1)).toBeLessThan(2 * found.uRelative)
    expect(found.uRelative).toBeLessThan(0.005)
  })

  test('half a percent of scale is a quarter percent of rate', () => {
    const record = falling(240, 0)
    const plane = record.views['v']!.planes['p']!
    if (plane.kind !== 'rectangle') throw new Error('a rectangle')
    plane.width_m = exact(0.44 * 1.005)
    plane.height_m = exact(0.2 * 1.005)
    const found = measuredRate(record, record.views['v']!, noDeviations)
    if (found.kind !== 'rate') throw new Error(found.kind)
    expect(found.rate_hz / 240).toBeCloseTo(1 / Math.sqrt(1.005), 6)
  })

  test('marks that do not fall, or too few, are refused', () => {
    const record = falling(240, 0)
    const { timebase } = record.views['v']!
    if (timebase.kind !== 'measured' || timebase.clock.kind !== 'free-fall') throw new Error('a fall')
    const normal = normals(3)
    timebase.clock.points = timebase.clock.points.map((_, i) => ({ x: 400 + 5 * i + normal(), y: 300 + normal() }))
    const level = measuredRate(record, record.views['v']!, noDeviations)
    expect(level.kind).toBe('fall-not-falling')
    timebase.clock.points.length = 4
    const few = measuredRate(record, record.views['v']!, noDeviations)
    expect(few).toMatchObject({ kind: 'fall-few-marks', have: 4 })
    for (const problem of [level, few])
      if (problem.kind !== 'rate') expect(sentenceFor(problem).length).toBeGreaterThan(30)
  })
})

describe('pieces of a clip with rates of their own', () => {
  test('a ramp stretched by timestamps is cut where the rhythm changes, and all of it was filmed at one rate', () => {
    const ticks = [0]
    for (let i = 1; i < 400; i++) ticks.push(ticks[i - 1]! + (i <= 120 || i > 300 ? 125 : 1000))
    const found = proposePieces(ticks, 30000, 240)
    if (found.kind !== 'pieces') throw new Error(found.kind)
    expect(found.pieces.map((piece) => piece.fromFrame)).toEqual([0, 120, 300])
    expect(found.pieces.map((piece) => piece.rate_hz)).toEqual([240, 240, 240])
    expect(found.file.map((piece) => piece.slowed)).toEqual([1, 8, 1])
    expect(found.pieces[1]!.fromTicks).toBe(ticks[120])
  })

  test('without a tag the fastest piece is taken as real time', () => {
    const ticks = [0]
    for (let i = 1; i < 200; i++) ticks.push(ticks[i - 1]! + (i <= 90 ? 125 : 1000))
    const found = proposePieces(ticks, 30000, null)
    if (found.kind !== 'pieces') throw new Error(found.kind)
    for (const piece of found.pieces) expect(piece.rate_hz).toBeCloseTo(240, 6)
  })

  test('dropped frames and jitter are no cuts', () => {
    const chance = seeded(2)
    const ticks = [0]
    for (let i = 1; i < 300; i++) ticks.push(ticks[i - 1]! + (i % 50 === 7 ? 2000 : 1000) + Math.round(60 * chance()))
    expect(proposePieces(ticks, 30000, null).kind).toBe('one-rate')
  })

  test('a phone that slows from 30 to 20 in the dark keeps its own times', () => {
    const ticks = [0]
    for (let i = 1; i < 200; i++) ticks.push(ticks[i - 1]! + (i <= 90 ? 1000 : 1600))
    const found = proposePieces(ticks, 30000, null)
    if (found.kind !== 'pieces') throw new Error(found.kind)
    expect(found.pieces.map((piece) => Math.round(piece.rate_hz * 10) / 10)).toEqual([30, 18.8])
  })
})

describe('frames that were not filmed', () => {
  const moving = (kind: 'real' | 'repeats' | 'blends', every: number, seed = 1) => {
    const normal = normals(seed)
    // A one-dimensional moving picture: a bright bar with soft edges that moves 1.7 px per frame.
    const real = (t: number) =>
      Array.from(
        { length: 200 },
        (_, x) => 60 + 120 / (1 + Math.exp(-(x - 40 - 1.7 * t))) - 120 / (1 + Math.exp(-(x - 60 - 1.7 * t))),
      )
    const frames = Array.from({ length: 60 }, (_, i) => {
      const k = Math.floor(i / every) * every
      const part = (i - k) / every
      const clean =
        kind === 'real'
          ? real(i)
          : kind === 'repeats'
            ? real(k)
            : real(k).map((v, x) => v + part * (real(k + every)[x]! - v))
      return clean.map((v) => v + 1 * normal())
    })
    const mean = (f: (x: number) => number) =>
      Array.from({ length: 200 }, (_, x) => f(x)).reduce((a, b) => a + b, 0) / 200
    const first = frames.map((frame, i) => (i === 0 ? 0 : mean((x) => Math.abs(frame[x]! - frames[i - 1]![x]!))))
    const second = frames.map((frame, i) =>
      i === 0 || i === 59 ? 0 : mean((x) => Math.abs(frames[i + 1]![x]! - 2 * frame[x]! + frames[i - 1]![x]!)),
    )
    // Mean |difference of two noises| of σ = 1: 2/√π.
    return readInvented(first, second, 2 / Math.sqrt(Math.PI))
  }

  test('a filmed passage looks real', () => {
    for (let seed = 1; seed < 6; seed++) expect(moving('real', 1, seed).kind).toBe('looks-real')
  })
  test.each([2, 4])('one new frame in %i is recognised as repeats', (every) => {
    const found = moving('repeats', every)
    expect(found).toMatchObject({ kind: 'repeats', every, firstReal: 0 })
    expect(sentenceForInvented(found)).toContain('repeat')
  })
  test.each([2, 4])('one filmed frame in %i with blends between is recognised as invented', (every) => {
    const found = moving('blends', every)
    expect(found).toMatchObject({ kind: 'invented', every, firstReal: 0 })
    expect(sentenceForInvented(found)).toContain('no measurement')
  })
  test('a rhythm of compression, a third stronger on every third frame, is not taken for it', () => {
    const normal = normals(8)
    const first = Array.from({ length: 90 }, (_, i) => 6 * (i % 3 === 0 ? 1.35 : 1) + 0.2 * normal())
    const second = Array.from({ length: 90 }, (_, i) => 8 * (i % 3 === 0 ? 1.35 : 1) + 0.3 * normal())
    expect(readInvented(first, second, 1).kind).toBe('looks-real')
  })
  test('frames known as invented make no seconds until they are left out or taken as filmed', () => {
    const record = sceneRecord({
      view: (view) => {
        view.timebase = { kind: 'filmed-at', rate_hz: exact(240), spacing: 'even' }
      },
      clip: (clip) => {
        clip.filmedFrames = { every: 4, first: 1 }
      },
    })
    const clip = record.clips['c']!
    const refused = timeRuleOf(record, clip, noDeviations)
    expect(refused).toMatchObject({
      kind: 'frames-invented',
      every: 4,
      first: 1,
      inUse: clip.frames - Math.ceil((clip.frames - 1) / 4),
    })
    expect(refused.kind === 'frames-invented' && sentenceFor(refused)).toContain('Only every fourth frame was filmed')
    clip.repeated = inventedInUse(clip)
    expect(inventedInUse(clip)).toEqual([])
    expect(timeRuleOf(record, clip, noDeviations).kind).toBe('time-rule')
    delete clip.repeated
    delete clip.filmedFrames
    expect(timeRuleOf(record, clip, noDeviations).kind).toBe('time-rule')
  })
  test('eight frames cannot tell', () => {
    expect(readInvented([0, 1, 1, 1, 1, 1, 1, 1], [0, 1, 1, 1, 1, 1, 1, 0], 0.1).kind).toBe('cannot-tell')
  })
})

describe('what speaks against a rate', () => {
  const rolling = (rate: number, tag: number | null) => {
    // A ball gaining 0.2 m/s² on 2°: no more than g·sin θ = 0.342.
    const s = Array.from(
      { length: 60 },
      (_, i) => 0.05 + 0.1 * ((8 * i) / 240) + (0.2 * ((8 * i) / 240) ** 2) / 2,
    ).filter((v) => v < 0.5)
    const record = sceneRecord({
      s,
      view: (view) => {
        view.timebase = { kind: 'filmed-at', rate_hz: exact(rate / 8), spacing: 'even' }
      },
      clip: (clip) => {
        clip.filmingRateTag_hz = tag
      },
    })
    record.mountings['m']!.slope = { kind: 'angle', angle_rad: exact((2 * Math.PI) / 180) }
    return rateFlags(record, 'c')
  }

  test('a right rate has no flag', () => {
    expect(rolling(240, 30)).toEqual([])
  })
  test('a rate eight times too high: the tag contradicts, and no ball can gain speed so fast', () => {
    const flags = rolling(8 * 240, 30)
    expect(flags.map((flag) => flag.kind)).toEqual(['tag-contradicts', 'too-fast-for-slope'])
    expect(flags[1]).toMatchObject({ slip: 8 })
    expect(sentenceForRateFlag(flags[0]!)).toContain('64')
    expect(sentenceForRateFlag(flags[1]!)).toContain('1/8')
  })
  test('slower than the file plays, and uneven frames taken as even', () => {
    const record = sceneRecord({
      view: (view) => {
        view.timebase = { kind: 'filmed-at', rate_hz: exact(24), spacing: 'even' }
      },
      clip: (clip) => {
        clip.interval.uneven = 7
      },
    })
    const kinds = rateFlags(record, 'c').map((flag) => flag.kind)
    expect(kinds).toContain('slower-than-file')
    expect(kinds).toContain('uneven-but-even')
  })
})
