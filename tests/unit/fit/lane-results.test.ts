import { describe, expect, test } from 'vitest'
import { differenceOf, laneResults, sourceBookOf } from '../../../workers/fit/index.ts'
import { seededRandom } from '../../../workers/fit/numerics/random.ts'
import { parseRecord } from '../../../workers/record/index.ts'
import { constantAcceleration, RecordBuilder } from '../../support/record-builder.ts'

const degree = Math.PI / 180
const g = 9.80665
/** 90° groove and a solid ball: k = 1 + 0.4/sin²45°. */
const k = 1.8

const rolling = (slope_rad: number, crr: number, travel: 1 | -1 = 1) =>
  (g * (Math.sin(slope_rad) - travel * crr * Math.cos(slope_rad))) / k

/** One lane at 2° with a fifth of a degree of doubt in the slope. */
function lane(slopeHalf_deg = 0.1) {
  const builder = new RecordBuilder()
  const angle = builder.stated(
    2 * degree,
    'inclinometer',
    { kind: 'rectangular', half: slopeHalf_deg * degree },
    { unit: 'rad' },
  )
  return builder.lane('A', { slope_rad: 2 * degree, slope: { kind: 'angle', angle_rad: angle } })
}

const noiseOf = (seed: number, sigma_px = 0.5) => {
  const random = seededRandom(seed)
  return () => [sigma_px * random.normal(), sigma_px * random.normal()] as const
}

describe('one lane, one direction', () => {
  test('exact marks give the exact acceleration, resistance and speeds', () => {
    const a = rolling(2 * degree, 0.008)
    const builder = lane()
    builder
      .run({ s: constantAcceleration(0.02, 0.2, a), to: 400 })
      .run({ s: constantAcceleration(0.03, 0.25, a), to: 380 })
    expect(parseRecord(JSON.parse(JSON.stringify(builder.record))).kind).toBe('ok')
    const [result] = laneResults(builder.record)
    const series = result!.series[0]!
    expect(series.acceleration.value).toBeCloseTo(a, 9)
    expect(result!.crr!.value).toBeCloseTo(0.008, 9)
    const { from_m, to_m } = result!.stretch!
    expect(from_m).toBeCloseTo(0.03, 9)
    const truth = (s0: number, v0: number, s: number) => Math.sqrt(v0 ** 2 + 2 * a * (s - s0))
    expect(series.entry!.filmed.value).toBeCloseTo((truth(0.02, 0.2, from_m) + truth(0.03, 0.25, from_m)) / 2, 9)
    expect(series.exit!.filmed.value).toBeCloseTo((truth(0.02, 0.2, to_m) + truth(0.03, 0.25, to_m)) / 2, 9)
    expect(series.runs[1]!.exit!.value).toBeCloseTo(truth(0.03, 0.25, to_m), 9)
  })

  test('a slope known to ± 0.1° alone widens C_rr to 0.95 of that, in tangent: the interval of a rectangle, not twice u', () => {
    const builder = lane()
    builder.record.settings.placing_px = 1e-6
    for (let i = 0; i < 5; i++)
      builder.run({ s: constantAcceleration(0.02, 0.2, rolling(2 * degree, 0.008)), to: 380, sigma_px: 1e-4 })
    const [result] = laneResults(builder.record)
    const perRadian = 1 / Math.cos(2 * degree) ** 2
    expect(result!.crr!.U / (0.1 * degree * perRadian)).toBeCloseTo(0.95, 2)
    expect(result!.budget[0]).toMatchObject({ sourceId: 'inclinometer', type: 'B' })
    expect(result!.flags).toContainEqual(expect.objectContaining({ kind: 'slope-dominates', hasTwoWay: false }))
  })

  test('repeats do not average the slope away', () => {
    const builder = lane()
    const s = constantAcceleration(0.02, 0.2, rolling(2 * degree, 0.008))
    builder.run({ s, to: 380 })
    const one = laneResults(builder.record)[0]!.crr!
    for (let i = 0; i < 11; i++) builder.run({ s, to: 380 })
    const twelve = laneResults(builder.record)[0]!.crr!
    expect(twelve.U).toBeGreaterThan(0.97 * one.U)
    expect(Math.abs(twelve.effects.get('inclinometer')!)).toBeCloseTo(Math.abs(one.effects.get('inclinometer')!), 9)
  })

  test('a ball that waits for its release and one that lies after its stop are fitted over the rolling alone', () => {
    const builder = new RecordBuilder().lane('A', { slope_rad: 0 })
    const a = -0.05
    const noise = noiseOf(5, 0.3)
    const stop = 0.25 / 0.05
    builder.run({
      s: (t) => constantAcceleration(0.02, 0.25, a)(Math.min(t, stop)),
      to: 1800,
      every: 8,
      noise_px: noise,
      sigma_px: 0.3,
    })
    const held = 0.4
    builder.run({
      s: (t) => constantAcceleration(0.03, 0, rolling(2 * degree, 0.008))(Math.max(0, t - held)),
      to: 500,
      noise_px: noise,
      sigma_px: 0.3,
    })
    const results = laneResults(builder.record)
    const [stopped, waited] = results[0]!.series.flatMap((series) => series.runs)
    expect(stopped!.resting.after).toBeGreaterThan(60)
    expect(Math.abs(stopped!.acceleration.value - a)).toBeLessThan(stopped!.acceleration.U)
    expect(waited!.resting.before).toBeGreaterThanOrEqual(24)
    expect(waited!.resting.before).toBeLessThan(36)
    expect(Math.abs(waited!.acceleration.value - rolling(2 * degree, 0.008))).toBeLessThan(waited!.acceleration.U)
  })

  test('a lane that slows the ball says where it would stall, and its resistance is above the slope', () => {
    const builder = lane()
    builder.run({ s: constantAcceleration(0.02, 0.35, rolling(2 * degree, 0.045)), to: 500 })
    const [result] = laneResults(builder.record)
    const { slows, exit, acceleration } = result!.series[0]!
    expect(acceleration.value).toBeLessThan(0)
    expect(result!.crr!.value).toBeGreaterThan(Math.tan(2 * degree))
    expect(slows!.stallsAt_m).toBeCloseTo(0.02 + 0.35 ** 2 / (2 * -rolling(2 * degree, 0.045)), 6)
    expect(slows!.beyondExit_m).toBeCloseTo(slows!.stallsAt_m - exit!.at_m, 12)
    expect(result!.flags.some((flag) => flag.kind === 'implausible')).toBe(false)
  })

  test('a ball faster than gravity allows is reported, not clipped, with the rate that would explain it', () => {
    const builder = lane()
    // The clip was filmed at 120 and taken for 240: everything seems twice as fast, accelerations four times.
    builder.run({ s: (t) => constantAcceleration(0.02, 0.1, rolling(2 * degree, 0))(2 * t), to: 300 })
    const [result] = laneResults(builder.record)
    expect(result!.crr!.value + result!.crr!.U).toBeLessThan(0)
    const flag = result!.flags.find(({ kind }) => kind === 'implausible')
    expect(flag).toMatchObject({ kind: 'implausible', rateFactor: expect.closeTo(0.5, 4) as number })
  })
})

describe('both directions', () => {
  test('slope and resistance come out of down and up together, the slope unknown', () => {
    const builder = new RecordBuilder().lane('A', { slope_rad: 1.5 * degree, slope: { kind: 'unknown' } })
    const down = rolling(1.5 * degree, 0.006)
    const up = rolling(1.5 * degree, 0.006, -1)
    builder.run({ s: constantAcceleration(0.02, 0.2, down), to: 360 })
    expect(laneResults(builder.record)[0]!.problems).toEqual([
      { kind: 'slope-unknown', mountingId: 'on-A', direction: 'down' },
    ])
    builder.run({ s: constantAcceleration(0.62, -0.6, up), to: 340, direction: 'up' })
    const [result] = laneResults(builder.record)
    expect(result!.problems).toEqual([])
    expect(result!.ways.map(({ kind }) => kind)).toEqual(['two-way'])
    expect(result!.crr!.value).toBeCloseTo(0.006, 8)
    expect(result!.ways[0]!.slope!.value).toBeCloseTo(1.5 * degree, 8)
    // The row shows the way down; the way up enters at the lower end and leaves at the upper one.
    expect(result!.series[result!.main!]!.direction).toBe('down')
    const rising = result!.series.find(({ direction }) => direction === 'up')!
    expect(rising.entry!.at_m).toBeGreaterThan(rising.exit!.at_m)
    expect(rising.acceleration.value).toBeCloseTo(-up, 8)
  })

  test('two-way frees the resistance from the inclinometer', () => {
    const builder = lane()
    builder.run({ s: constantAcceleration(0.02, 0.2, rolling(2 * degree, 0.008)), to: 380, noise_px: noiseOf(1) })
    builder.run({
      s: constantAcceleration(0.6, -0.6, rolling(2 * degree, 0.008, -1)),
      to: 380,
      direction: 'up',
      noise_px: noiseOf(2),
    })
    const [result] = laneResults(builder.record)
    expect(result!.ways[0]!.kind).toBe('two-way')
    expect(result!.crr!.effects.has('inclinometer')).toBe(false)
    expect(result!.crr!.U).toBeLessThan(0.3 * result!.ways.find(({ kind }) => kind === 'down-slope')!.crr.U)
    expect(Math.abs(result!.crr!.value - 0.008)).toBeLessThan(result!.crr!.U)
  })
})

test('a finish compared with another on the same mounting does not feel the slope: common effects cancel', () => {
  const builder = lane().finish('sanded', 1)
  for (let i = 0; i < 3; i++) {
    builder.run({ s: constantAcceleration(0.02, 0.2, rolling(2 * degree, 0.009)), to: 380, noise_px: noiseOf(10 + i) })
    builder.run({
      s: constantAcceleration(0.02, 0.2, rolling(2 * degree, 0.006)),
      to: 360,
      finish: 'sanded',
      noise_px: noiseOf(20 + i),
    })
  }
  const [cut, sanded] = laneResults(builder.record)
  expect([cut!.finishId, sanded!.finishId]).toEqual(['cut', 'sanded'])
  expect(cut!.stretch).toEqual(sanded!.stretch)
  const difference = differenceOf(sourceBookOf(builder.record), cut!.crr!, sanded!.crr!)
  expect(difference.U).toBeLessThan(0.15 * cut!.crr!.U)
  expect(Math.abs(difference.value - 0.003)).toBeLessThan(difference.U)
})

describe('runs that scatter', () => {
  test('more than their marks widen the interval by their own spread, counted once', () => {
    const builder = new RecordBuilder({ placing_px: 1e-6 }).lane('A')
    const random = seededRandom(9)
    const own: number[] = []
    for (let i = 0; i < 6; i++) {
      const a = rolling(2 * degree, 0.008) + 0.004 * random.normal()
      own.push(a)
      builder.run({ s: constantAcceleration(0.02, 0.2, a), to: 380, noise_px: noiseOf(30 + i, 0.1), sigma_px: 0.1 })
    }
    const series = laneResults(builder.record)[0]!.series[0]!
    const mean = own.reduce((sum, a) => sum + a, 0) / own.length
    const sd = Math.sqrt(own.reduce((sum, a) => sum + (a - mean) ** 2, 0) / (own.length - 1))
    expect(series.betweenRuns!.counted).toBe(true)
    expect(series.acceleration.value).toBeCloseTo(mean, 3)
    expect(series.acceleration.random.u / (sd / Math.sqrt(6))).toBeCloseTo(1, 1)
    expect(series.acceleration.random.dof).toBe(5)
  })

  test('no more than their marks share one acceleration', () => {
    const builder = new RecordBuilder().lane('A')
    for (let i = 0; i < 5; i++)
      builder.run({
        s: constantAcceleration(0.02, 0.15 + 0.02 * i, rolling(2 * degree, 0.008)),
        to: 360,
        noise_px: noiseOf(50 + i),
      })
    const series = laneResults(builder.record)[0]!.series[0]!
    expect(series.betweenRuns!.counted).toBe(false)
    expect(series.acceleration.random.u).toBeLessThan(0.6 * series.runs[0]!.acceleration.random.u)
    expect(series.entry!.scatter_m_s).toBeGreaterThan(0.02)
    expect(series.entry!.typical!.U).toBeGreaterThan(3 * series.entry!.filmed.U)
  })
})

describe('bad input gives a reason, never a NaN', () => {
  const rollingOn = constantAcceleration(0.02, 0.2, 0.15)
  const problemsOf = (builder: RecordBuilder) => laneResults(builder.record)[0]!.problems

  test('fewer than four marks', () => {
    const builder = lane().run({ s: rollingOn, to: 8 })
    expect(problemsOf(builder)).toContainEqual({ kind: 'too-few-marks', runId: 'run1', have: 3, need: 4 })
    expect(laneResults(builder.record)[0]).toMatchObject({ crr: null, main: null, stretch: null, series: [] })
  })

  test('all marks on one spot', () => {
    expect(problemsOf(lane().run({ s: () => 0.3, to: 100 }))).toContainEqual({ kind: 'one-spot', runId: 'run1' })
  })

  test('a ball that never moves', () => {
    const builder = lane().run({ s: () => 0.3, to: 100, noise_px: noiseOf(3) })
    expect(problemsOf(builder)).toContainEqual(expect.objectContaining({ kind: 'never-moves', runId: 'run1' }))
  })

  test('time that goes backwards', () => {
    const builder = lane().run({ s: rollingOn, to: 100 })
    builder.record.views['view']!.timebase = {
      kind: 'filmed-at',
      rate_hz: { value: 240, sources: [] },
      spacing: 'timestamps',
    }
    builder.record.runs['run1']!.marks.ticks[7] = 100
    expect(problemsOf(builder)).toContainEqual(
      expect.objectContaining({ kind: 'time-not-rising', runId: 'run1', mark: 7 }),
    )
  })

  test('a groove that cannot carry the ball leaves speeds and acceleration standing', () => {
    const builder = new RecordBuilder().lane('A', { guide: { kind: 'slot', gap_m: { value: 0.05, sources: [] } } })
    builder.run({ s: rollingOn, to: 300 })
    const [result] = laneResults(builder.record)
    expect(result!.problems).toContainEqual(
      expect.objectContaining({
        kind: 'guide-impossible',
        cause: expect.objectContaining({ kind: 'falls-through' }) as object,
      }),
    )
    expect(result!.crr).toBeNull()
    expect(result!.series[0]!.acceleration.value).toBeCloseTo(0.15, 8)
  })

  test('a view without a time base', () => {
    const builder = lane().run({ s: rollingOn, to: 100 })
    builder.record.views['view']!.timebase = { kind: 'unset' }
    expect(problemsOf(builder)).toContainEqual(
      expect.objectContaining({
        kind: 'not-in-metres',
        cause: expect.objectContaining({ kind: 'time-unset' }) as object,
      }),
    )
  })
})

test('a mark far out is pointed out and still used', () => {
  const builder = new RecordBuilder().lane('A')
  const noise = noiseOf(77)
  builder.run({ s: constantAcceleration(0.02, 0.2, 0.15), to: 400, noise_px: (i) => (i === 40 ? [9, 0] : noise()) })
  const series = laneResults(builder.record)[0]!.series[0]!
  expect(series.runs[0]!.outliers.map(({ mark }) => mark)).toEqual([40])
  expect(series.runs[0]!.marks).toBe(101)
})
