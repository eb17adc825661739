import { describe, expect, test } from 'vitest'
import {
  rateReport,
  samplesOf,
  secondsOf,
  secondsPerFrame,
  sentenceFor,
  timeRuleOf,
  type TimeRule,
} from '../../../workers/measure/index.ts'
import { type Clip, noDeviations, type Timebase, type View } from '../../../workers/record/index.ts'
import { exact, sceneRecord } from './scene.ts'

function timed(
  timebase: Timebase,
  clip: (clip: Clip) => void = () => undefined,
  view: (view: View) => void = () => undefined,
) {
  const record = sceneRecord({
    clip,
    view: (v) => {
      v.timebase = timebase
      view(v)
    },
  })
  record.sources['rate'] = {
    id: 'rate',
    name: 'rate',
    unit: '1',
    relative: true,
    distribution: { kind: 'rectangular', half: 0.001 * Math.sqrt(3) },
  }
  return record
}
function rule(record: ReturnType<typeof timed>, deviations = noDeviations): TimeRule {
  const found = timeRuleOf(record, record.clips['c']!, deviations)
  if (found.kind !== 'time-rule') throw new Error(JSON.stringify(found))
  return found
}
const filmedAt = (spacing: 'timestamps' | 'even'): Timebase => ({
  kind: 'filmed-at',
  rate_hz: { value: 240, sources: ['rate'] },
  spacing,
})

describe('frames become seconds', () => {
  test('file timestamps are real time; the drift of the file’s clock stretches it', () => {
    const record = timed({ kind: 'file', drift: { value: 0, sources: ['drift'] } })
    expect(rule(record).secondsAt(12, 12)).toBeCloseTo(12 / 30, 12)
    expect(rule(record, new Map([['drift', 1e-3]])).secondsAt(12, 12)).toBeCloseTo((12 / 30) * 1.001, 12)
  })

  test('filmed at 240, played at 30: timestamps keep their unevenness, frame numbers do not', () => {
    expect(rule(timed(filmedAt('timestamps'))).secondsAt(12, 12.5)).toBeCloseTo(12.5 / 240, 12)
    expect(rule(timed(filmedAt('even'))).secondsAt(12, 12.5)).toBeCloseTo(12 / 240, 12)
  })

  test('a time that is not set and a rate of 0 are values with a sentence', () => {
    for (const timebase of [
      { kind: 'unset' },
      { kind: 'filmed-at', rate_hz: exact(0), spacing: 'even' },
      {
        kind: 'measured',
        clock: { kind: 'two-frames', clipId: 'c', first: 9, last: 9, apart_s: exact(1) },
        spacing: 'even',
      },
      {
        kind: 'measured',
        clock: { kind: 'two-frames', clipId: 'c', first: 1, last: 9, apart_s: exact(-1) },
        spacing: 'even',
      },
      { kind: 'measured', clock: { kind: 'lamp', clipId: 'c', blink_hz: exact(1) }, spacing: 'even' },
    ] satisfies Timebase[]) {
      const found = timeRuleOf(timed(timebase), timed(timebase).clips['c']!, noDeviations)
      if (found.kind === 'time-rule') throw new Error('this time base cannot work')
      expect(sentenceFor(found).length).toBeGreaterThan(30)
    }
  })

  test('0.1 % of rate is 0.1 % of speed and 0.2 % of acceleration', () => {
    const report = rateReport(timed(filmedAt('even')), 'c')
    if (report.kind !== 'rate-report') throw new Error(report.kind)
    expect(report.secondsPerFrame).toBeCloseTo(1 / 240, 12)
    expect(report.speedEffect_percent).toBeCloseTo(0.1, 4)
    expect(report.accelerationEffect_percent).toBeCloseTo(0.2, 4)
  })

  test('two frames one second apart give the rate, to a part of a frame in their distance', () => {
    const record = timed({
      kind: 'measured',
      clock: { kind: 'two-frames', clipId: 'c', first: 0, last: 480, apart_s: exact(2) },
      spacing: 'even',
    })
    const found = secondsPerFrame(record, 'c')
    expect(found).toMatchObject({ kind: 'seconds' })
    const report = rateReport(record, 'c')
    if (report.kind !== 'rate-report') throw new Error(report.kind)
    expect(report.secondsPerFrame).toBeCloseTo(1 / 240, 12)
    // Each end somewhere within its frame: √(2/12) frames in 480 (JCGM 100:2008, 4.3.7).
    expect(report.speedEffect_percent).toBeCloseTo(100 / Math.sqrt(6) / 480, 6)
  })

  test('a slow-motion ramp baked in: time goes on without a jump, each piece at its own rate', () => {
    const record = timed(filmedAt('even'), (clip) => {
      clip.frames = 300
      clip.lastTicks = 299
      clip.pieces = [
        { fromFrame: 100, rate_hz: 30, uRelative: 0.001 },
        { fromFrame: 200, rate_hz: 240, uRelative: 0.001 },
      ]
    })
    const { secondsAt } = rule(record)
    expect(secondsAt(99, 99)).toBeCloseTo(99 / 240, 12)
    expect(secondsAt(100, 100)).toBeCloseTo(100 / 240, 12)
    expect(secondsAt(150, 150)).toBeCloseTo(100 / 240 + 50 / 30, 12)
    expect(secondsAt(250, 250)).toBeCloseTo(100 / 240 + 100 / 30 + 50 / 240, 12)
    const moved = rule(record, new Map([['piece_c_0', 0.01]])).secondsAt(150, 150)
    expect(moved).toBeCloseTo(100 / 240 + 50 / 30.3, 12)
  })

  test('with timestamps a piece lasts its frames over its rate, spread as the timestamps say', () => {
    const record = timed(filmedAt('timestamps'), (clip) => {
      clip.frames = 201
      clip.lastTicks = 900
      clip.pieces = [{ fromFrame: 100, fromTicks: 100, rate_hz: 240, uRelative: 0 }]
    })
    const { secondsAt } = rule(record)
    expect(secondsAt(200, 900)).toBeCloseTo(100 / 240 + 100 / 240, 12)
    expect(secondsAt(150, 400)).toBeCloseTo(100 / 240 + (300 / 800) * (100 / 240), 12)
  })

  test.each([
    ['down', { x: 200, y: 100 }, 100],
    ['up', { x: 200, y: 100 }, 620],
    ['right', { x: 200, y: 100 }, 200],
    ['left', { x: 200, y: 100 }, 1080],
  ] as const)('a shutter that reads %s delays a mark by its rows', (reads, at, rows) => {
    const record = timed(filmedAt('even'))
    const t = secondsOf(rule(record), { frame: 0, ticks: 0, ...at }, { lineTime_s: 1e-5, reads }, record.views['v']!)
    expect(t).toBeCloseTo(rows * 1e-5, 12)
  })

  test('a shutter along the motion makes 1 m/s read 1.63 % fast until its line time is given', () => {
    // 8 ms over a field of 0.5 m at 1 m/s: v/(1 − v·κ), κ = 0.016 s/m; derived from t = t_frame + row·t_line.
    const line = 0.008 / 1280
    const record = timed(filmedAt('even'))
    const view = record.views['v']!
    view.timebase = { kind: 'filmed-at', rate_hz: exact(240), spacing: 'even' }
    const { marks } = record.runs['run']!
    const perPixel = 0.5 / 1280
    // The frame's time starts its first row: the ball stands where its own row is read.
    marks.x = marks.frame.map((frame) => frame / 240 / perPixel / (1 - line / perPixel))
    const place = marks.x.map((x) => x * perPixel)
    const plain = marks.frame.map((frame, i) => ({ t: frame / 240, s: place[i]! }))
    const speed = (plain[20]!.s - plain[0]!.s) / (plain[20]!.t - plain[0]!.t)
    expect(speed).toBeCloseTo(1.0163, 4)
    view.shutter = { lineTime_s: exact(line), reads: 'right' }
    const found = samplesOf(record, 'run')
    if (found.kind !== 'samples') throw new Error(found.kind)
    expect((place[20]! - place[0]!) / (found.t_s[20]! - found.t_s[0]!)).toBeCloseTo(1, 9)
  })

  test('timestamps rounded to a millisecond make each place uncertain by speed times step over √12', () => {
    const step = 0.001
    const plain = samplesOf(timed(filmedAt('timestamps')), 'run')
    const record = timed(filmedAt('timestamps'), (clip) => {
      clip.timestampStep_s = step
    })
    const rounded = samplesOf(record, 'run')
    const even = samplesOf(
      timed(filmedAt('even'), (clip) => {
        clip.timestampStep_s = step
      }),
      'run',
    )
    if (plain.kind !== 'samples' || rounded.kind !== 'samples' || even.kind !== 'samples') throw new Error('samples')
    // 1/40 m a frame at 240 frames per second; a file second is an eighth of a real one.
    const speed = 240 / 40
    const own = (speed * step) / 8 / Math.sqrt(12)
    expect(rounded.sigma_m[10]! ** 2 - plain.sigma_m[10]! ** 2).toBeCloseTo(own ** 2, 10)
    expect(even.sigma_m[10]).toBe(plain.sigma_m[10])
  })
})
