import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  parseSlope,
  readString,
  sentenceFor,
  slopeAt,
  slopeBetween,
  slopeFrom,
  slopeOf,
  slopeReport,
  type SlopeFound,
} from '../../../workers/measure/index.ts'
import { noDeviations, type Slope } from '../../../workers/record/index.ts'
import { frontal, see } from './pinhole.ts'
import { barOf, exact, lane, sceneRecord } from './scene.ts'

const degree = Math.PI / 180

function slopeWith(slope: Slope, options: Parameters<typeof sceneRecord>[0] = {}) {
  const record = sceneRecord(options)
  record.mountings['m']!.slope = slope
  return { record, mounting: record.mountings['m']! }
}
function found(slope: Slope, options: Parameters<typeof sceneRecord>[0] = {}): SlopeFound {
  const { record, mounting } = slopeWith(slope, options)
  const result = slopeOf(record, mounting, noDeviations)
  if (result.kind !== 'slope') throw new Error(JSON.stringify(result))
  return result
}

describe('a slope as it is typed', () => {
  test.each([
    ['1.8', 1.8 * degree],
    ['1.8°', 1.8 * degree],
    ['1,8 deg', 1.8 * degree],
    ['−2.5°', -2.5 * degree],
    ['0.03 rad', 0.03],
    ["30'", 0.5 * degree],
  ])('%s is an angle', (text, angle) => {
    const typed = parseSlope(text)
    expect(typed).toMatchObject({ form: 'angle' })
    if (typed.kind === 'slope' && typed.form === 'angle') expect(typed.angle_rad).toBeCloseTo(angle, 12)
  })

  test.each([
    ['12 mm/m', 0.012],
    ['12 mm per m', 0.012],
    ['3 %', 0.03],
    ['15:800', 15 / 800],
    ['15/800 mm', 15 / 800],
    ['15 mm/0.8 m', 15 / 800],
    ['15 mm over 80 cm', 15 / 800],
    ['1 in 50', 0.02],
  ])('%s is a rise over a horizontal run', (text, gradient) => {
    const typed = parseSlope(text)
    expect(typed).toMatchObject({ form: 'gradient' })
    if (typed.kind === 'slope' && typed.form === 'gradient') expect(typed.gradient).toBeCloseTo(gradient, 12)
  })

  test.each(['', 'steep', '1.8.2', '12 mm', '5:0', '3 °°', 'NaN', '1e999'])(
    '“%s” is refused with what was typed',
    (text) => {
      const typed = parseSlope(text)
      expect(typed.kind).toBe('not-a-slope')
      if (typed.kind !== 'slope') expect(sentenceFor(typed)).toContain(text.trim() === '' ? 'Enter a slope' : text)
    },
  )

  test.each(['50', '-46°', '1200 mm/m', '3:2'])('%s is beyond 45° and refused', (text) => {
    const typed = parseSlope(text)
    expect(typed.kind).toBe('slope-too-steep')
    if (typed.kind !== 'slope') expect(sentenceFor(typed)).toContain('45°')
  })

  test('45° itself is allowed, and a bare number follows the unit in use', () => {
    expect(parseSlope('45').kind).toBe('slope')
    expect(parseSlope('12', 'mm-per-m')).toMatchObject({ form: 'gradient', gradient: 0.012 })
  })

  test('what was typed becomes the record’s form with its sources', () => {
    const typed = parseSlope('12 mm/m')
    if (typed.kind !== 'slope') throw new Error('a slope')
    expect(slopeFrom(typed, ['level'])).toEqual({ kind: 'gradient', gradient: { value: 0.012, sources: ['level'] } })
  })
})

describe('the slope of a mounting', () => {
  test('angle, gradient and heights of supports along the lane', () => {
    expect(found({ kind: 'angle', angle_rad: exact(0.03) }).slope_rad).toBe(0.03)
    expect(found({ kind: 'gradient', gradient: exact(0.03) }).slope_rad).toBeCloseTo(Math.atan(0.03), 12)
    const heights: Slope = { kind: 'heights', upper_m: exact(0.12), lower_m: exact(0.1), apart_m: exact(0.5) }
    expect(found(heights).slope_rad).toBeCloseTo(Math.asin(0.04), 12)
  })

  test('each source moves it by what it says', () => {
    const slope: Slope = { kind: 'angle', angle_rad: { value: 0.03, sources: ['incline'] } }
    const { record, mounting } = slopeWith(slope, {
      sources: [
        { id: 'incline', name: 'inclinometer', unit: 'rad', distribution: { kind: 'rectangular', half: 0.001 } },
      ],
    })
    expect(slopeOf(record, mounting, new Map([['incline', 0.001]]))).toMatchObject({ slope_rad: 0.031 })
    const report = slopeReport(record, 'm')
    if (report.kind !== 'slope-report') throw new Error(report.kind)
    expect(report.whole.u).toBeCloseTo(0.001 / Math.sqrt(3), 9)
  })

  test('typed heights give the slope stretch by stretch, and the drop between two places', () => {
    const slope = found({
      kind: 'along',
      stations: [
        { s_m: 0, height_m: 0.1 },
        { s_m: 0.2, height_m: 0.09 },
        { s_m: 0.5, height_m: 0.08 },
      ],
      height_m: exact(0),
    })
    expect(slopeAt(slope, 0.1)).toBeCloseTo(Math.asin(0.05), 12)
    expect(slopeAt(slope, 0.4)).toBeCloseTo(Math.asin(0.01 / 0.3), 12)
    expect(Math.sin(slopeBetween(slope, 0.1, 0.3))).toBeCloseTo((0.005 + 0.01 / 3) / 0.2, 12)
    expect(Math.sin(slope.slope_rad)).toBeCloseTo(0.02 / 0.5, 12)
  })

  test('impossible heights are refused with their values', () => {
    const apart: Slope = { kind: 'heights', upper_m: exact(0.7), lower_m: exact(0.1), apart_m: exact(0.5) }
    const { record, mounting } = slopeWith(apart)
    const refused = slopeOf(record, mounting, noDeviations)
    expect(refused).toMatchObject({ kind: 'supports-apart', apart_m: 0.5 })
    if (refused.kind !== 'slope') expect(sentenceFor(refused)).toContain('500 mm')
    expect(slopeOf(record, { ...mounting, slope: { kind: 'unknown' } }, noDeviations).kind).toBe('slope-unknown')
  })
})

describe('a slope read from the picture', () => {
  const strung = (pitch: number, yaw: number, roll: number, options: { z?: number; half?: number } = {}) =>
    sceneRecord({
      camera: { ...frontal, pitch_rad: pitch, yaw_rad: yaw, roll_rad: roll },
      view: (view, look) => {
        const z = options.z ?? 0
        const half = options.half ?? 0.12
        view.gravity = [
          { id: 'g', kind: 'plumb', a: look(0.45, -0.1 - half, z), b: look(0.45, -0.1 + half, z), planeId: null },
        ]
      },
    })
  const read = (record: ReturnType<typeof sceneRecord>) => {
    record.mountings['m']!.slope = { kind: 'from-picture', viewId: 'v' }
    const report = slopeReport(record, 'm')
    if (report.kind !== 'slope-report') throw new Error(JSON.stringify(report))
    return report
  }

  test('through a rectified plane it is exact at any pitch, yaw and roll, with the string at any depth', () => {
    const angle = (most: number) => fc.double({ min: -most, max: most, noNaN: true })
    fc.assert(
      fc.property(angle(0.2), angle(0.2), angle(0.1), angle(0.1), (pitch, yaw, roll, z) => {
        expect(read(strung(pitch, yaw, roll, { z })).whole.value).toBeCloseTo(lane.slope_rad, 8)
      }),
      { seed: 5, numRuns: 40 },
    )
  })

  test('a level edge in the plane says the same', () => {
    const record = strung(0.14, 0.05, 0.02)
    const camera = { ...frontal, pitch_rad: 0.14, yaw_rad: 0.05, roll_rad: 0.02 }
    record.views['v']!.gravity = [
      { id: 'g', kind: 'level', a: see(camera, [0.1, 0.1, 0]), b: see(camera, [0.5, 0.1, 0]), planeId: 'p' },
    ]
    expect(read(record).whole.value).toBeCloseTo(lane.slope_rad, 8)
  })

  test('before a camera pitched 8° with one bar only, the unknown pitch enters U and U covers the lean', () => {
    const pitch = 8 * degree
    const record = sceneRecord({
      camera: { ...frontal, pitch_rad: pitch },
      plane: (look) => barOf(look),
      view: (view, look) => {
        view.pitch_rad = { value: 0, sources: ['pitch'] }
        view.gravity = [{ id: 'g', kind: 'plumb', a: look(0.48, -0.2), b: look(0.48, 0), planeId: null }]
      },
      sources: [{ id: 'pitch', name: 'pitch', unit: 'rad', distribution: { kind: 'rectangular', half: 10 * degree } }],
    })
    const report = read(record)
    const error = Math.abs(report.whole.value - lane.slope_rad)
    expect(error).toBeGreaterThan(0.5 * degree)
    expect(error).toBeLessThan(2 * report.whole.u)
  })

  test('a second string far from the first takes most of the unknown pitch out', () => {
    const pitch = 8 * degree
    const record = sceneRecord({
      camera: { ...frontal, pitch_rad: pitch },
      plane: (look) => barOf(look),
      view: (view, look) => {
        view.pitch_rad = { value: 0, sources: ['pitch'] }
        view.gravity = [0.05, 0.55].map((x, i) => ({
          id: `g${i}`,
          kind: 'plumb' as const,
          a: look(x, -0.22),
          b: look(x, 0.03),
          planeId: null,
          u_px: 0.1,
        }))
      },
      sources: [{ id: 'pitch', name: 'pitch', unit: 'rad', distribution: { kind: 'rectangular', half: 10 * degree } }],
    })
    const report = read(record)
    expect(Math.abs(report.whole.value - lane.slope_rad)).toBeLessThan(2 * report.whole.u)
    expect(report.whole.u).toBeLessThan(0.15 * degree)
  })

  test('a string of 400 px fitted to a tenth of a pixel gives U of at most 0.05°, one of 100 px more', () => {
    const at = (half: number) => {
      const record = strung(8 * degree, 0, 0, { half })
      const line = record.views['v']!.gravity[0]!
      line.u_px = 0.07
      // Corners and lane line fitted to a tenth of a pixel, as the string is.
      record.views['v']!.planes['p']!.u_px = 0.1
      record.views['v']!.lines['A']!.u_px = 0.1
      return { px: Math.hypot(line.b.x - line.a.x, line.b.y - line.a.y), U: 2 * read(record).whole.u }
    }
    const long = at(0.113)
    expect(long.px).toBeGreaterThan(400)
    expect(long.U).toBeLessThanOrEqual(0.05 * degree)
    const short = at(0.028)
    expect(short.px).toBeLessThan(105)
    expect(short.U).toBeGreaterThan(2 * long.U)
  })

  test('a string rendered with noise is read to a tenth of a pixel at its ends, and its stated u covers the truth', () => {
    // A dark string 2.5 px wide from (60.3, 10) to (52.8, 430) on a bright wall, 8-bit with noise; computed here.
    const [a, b] = [
      { x: 60.3, y: 10 },
      { x: 52.8, y: 430 },
    ]
    const [width, height] = [120, 440]
    const chance = (() => {
      let state = 7
      return () => {
        state = (Math.imul(state, 1664525) + 1013904223) >>> 0
        return state / 2 ** 32
      }
    })()
    const normal = () => Math.sqrt(-2 * Math.log(chance() + 1e-12)) * Math.cos(2 * Math.PI * chance())
    const luma = new Uint8Array(width * height)
    for (let y = 0; y < height; y++)
      for (let x = 0; x < width; x++) {
        const along = (y + 0.5 - a.y) / (b.y - a.y)
        const centre = a.x + along * (b.x - a.x)
        const d = x + 0.5 - centre
        const dark = 110 * Math.exp(-0.5 * (d / 1.2) ** 2)
        luma[y * width + x] = Math.round(180 + 10 * Math.sin(y / 30) - dark + 4 * normal())
      }
    const patch = { x0: 0, y0: 0, width, height, luma }
    const reading = readString(patch, { x: 63, y: 20 }, { x: 51, y: 425 })
    if (reading.kind !== 'string') throw new Error(reading.kind)
    const truthAt = (y: number) => a.x + ((y - a.y) / (b.y - a.y)) * (b.x - a.x)
    for (const end of [reading.a, reading.b]) {
      expect(Math.abs(end.x - truthAt(end.y))).toBeLessThan(0.1)
      expect(Math.abs(end.x - truthAt(end.y))).toBeLessThan(3 * reading.u_px)
    }
    expect(reading.u_px).toBeLessThan(0.1)
    expect(readString(patch, { x: 100, y: 20 }, { x: 100, y: 425 }, 'string', 4).kind).toBe('string-not-seen')
  })

  test('a string along the lane, no string at all, or no plane: a sentence each', () => {
    const record = strung(0, 0, 0)
    const view = record.views['v']!
    view.gravity[0]!.a = { x: 300, y: 400 }
    view.gravity[0]!.b = { x: 800, y: 420 }
    record.mountings['m']!.slope = { kind: 'from-picture', viewId: 'v' }
    const along = slopeReport(record, 'm')
    expect(along.kind).toBe('plumb-along-lane')
    view.gravity = []
    const none = slopeReport(record, 'm')
    expect(none.kind).toBe('no-gravity-line')
    for (const problem of [along, none])
      if (problem.kind !== 'slope-report') expect(sentenceFor(problem).length).toBeGreaterThan(40)
  })

  test('a level lane reads level within its uncertainty, and that is said', () => {
    const record = strung(0.1, 0, 0)
    const camera = { ...frontal, pitch_rad: 0.1 }
    record.views['v']!.lines['A']!.points = [see(camera, [0.05, 0, 0]), see(camera, [0.5, 0, 0])]
    expect(read(record).readsLevel).toBe(true)
  })
})
