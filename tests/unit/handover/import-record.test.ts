import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { laneResults } from '../../../workers/fit/index.ts'
import {
  addImport,
  importAsPositions,
  importIntoClip,
  importSentence,
  rejectedSentence,
  resultsBundle,
} from '../../../workers/handover/index.ts'
import { doubtCodes, Origin, parseRecord, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { demo } from '../../support/demo-record.ts'
import { fuzzCsv, target } from '../../support/fuzz-csv.ts'
import { longRun } from '../../support/long-run.ts'
import { RecordBuilder, constantAcceleration } from '../../support/record-builder.ts'
import { runsOf, sheetOf } from '../../support/sheets.ts'

const ids = () => {
  let made = 0
  return (what: string) => `new-${what}-${made++}`
}
const fileOf = (record: SlowlaneRecord, path: string): Uint8Array =>
  resultsBundle(record, { createdAt: '2026-01-01T00:00:00Z', version: '0', results: [] }).find(
    (file) => file.path === path,
  )!.bytes

/** The record with its marks exported and read in again, run by run. */
function marksThereAndBack(record: SlowlaneRecord): SlowlaneRecord {
  const imported = runsOf(sheetOf(fileOf(record, 'marks.csv')))
  const back: SlowlaneRecord = { ...structuredClone(record), runs: {} }
  for (const clipId of Object.keys(record.clips)) {
    const runs = imported.runs.filter(({ name }) => record.runs[name!]!.clipId === clipId)
    if (runs.length === 0) continue
    const names = runs.map(({ name }) => name!)
    const outcome = importIntoClip(
      record,
      { ...imported, runs },
      { clipId, firstFrame: 0, file: 'marks.csv', of: ({ name }) => record.runs[name!]! },
      () => names.shift()!,
    )
    if (outcome.kind !== 'import') throw new Error(outcome.kind)
    expect(outcome.rejected).toEqual([])
    addImport(back, outcome)
  }
  return back
}

describe('export then import loses nothing', () => {
  test('marks of any kind come back as they were', () => {
    const mark = fc.record({
      step: fc.integer({ min: 1, max: 50 }),
      ticks: fc.double({ min: -1e9, max: 1e9, noNaN: true }),
      x: fc.double({ min: -1e5, max: 1e5, noNaN: true }),
      y: fc.double({ min: -1e5, max: 1e5, noNaN: true }),
      sigma: fc.double({ min: 1e-6, max: 100, noNaN: true }),
      origin: fc.constantFrom(...Origin.options),
      doubt: fc.integer({ min: 0, max: doubtCodes.length + 1 }),
    })
    fc.assert(
      fc.property(fc.array(fc.array(mark, { minLength: 1, maxLength: 12 }), { minLength: 1, maxLength: 4 }), (runs) => {
        const builder = new RecordBuilder().lane('A')
        for (const marks of runs) {
          builder.run({ s: () => 0, to: 0 })
          const run = builder.record.runs[`run${Object.keys(builder.record.runs).length}`]!
          let frame = -1
          run.marks = {
            frame: marks.map(({ step }) => (frame += step)),
            ticks: [],
            x: [],
            y: [],
            sigma: [],
            origin: [],
            doubt: [],
          }
          for (const { ticks, x, y, sigma, origin, doubt } of marks) {
            run.marks.ticks.push(ticks)
            run.marks.x.push(x)
            run.marks.y.push(y)
            run.marks.sigma.push(sigma)
            run.marks.origin.push(origin)
            run.marks.doubt.push(doubt)
          }
        }
        const back = marksThereAndBack(builder.record)
        expect(parseRecord(back).kind).toBe('ok')
        for (const run of Object.values(builder.record.runs)) expect(back.runs[run.id]!.marks).toEqual(run.marks)
      }),
      { seed: 3, numRuns: longRun ? 1000 : 100 },
    )
  })

  test('the demo’s marks give the demo’s results, to the last bit', () => {
    const { record, results } = demo()
    const again = laneResults(marksThereAndBack(record))
    expect(again.map(({ crr }) => [crr!.value, crr!.U])).toEqual(results.map(({ crr }) => [crr!.value, crr!.U]))
    expect(again.map(({ series }) => series.map(({ acceleration }) => acceleration.value))).toEqual(
      results.map(({ series }) => series.map(({ acceleration }) => acceleration.value)),
    )
  })

  test('samples as seconds and metres give the same motion without any clip', () => {
    const builder = new RecordBuilder().lane('A')
    for (const [v, k] of [
      [0.3, 1],
      [0.32, 2],
      [0.31, 3],
    ] as const)
      builder.run({ s: constantAcceleration(-0.004, v, 0.1), to: 240, noise_px: (i) => [0.2 * Math.sin(k * i * i), 0] })
    const { record } = builder
    const sheet = sheetOf(fileOf(record, 'samples.csv'))
    const outcome = importAsPositions(
      record,
      runsOf(sheet),
      { file: 'samples.csv', size: 1, of: target, lengths: { kind: 'exact' }, times: { kind: 'exact' }, sigma_m: 1e-3 },
      ids(),
    )
    if (outcome.kind !== 'import') throw new Error(outcome.kind)
    const back: SlowlaneRecord = { ...structuredClone(record), runs: {} }
    addImport(back, outcome)
    expect(parseRecord(back).kind).toBe('ok')
    const [before, after] = [laneResults(record)[0]!, laneResults(back)[0]!]
    const [s, t] = [before.series[0]!, after.series[0]!]
    // Ten digits: the way over the view rounds positions at the sixteenth.
    expect(t.acceleration.value).toBeCloseTo(s.acceleration.value, 10)
    expect(t.acceleration.random.u).toBeCloseTo(s.acceleration.random.u, 10)
    expect(after.crr!.value).toBeCloseTo(before.crr!.value, 10)
    for (const [i, run] of t.runs.entries())
      for (const [k, s_m] of run.residuals.s_m.entries()) {
        expect(s_m).toBeCloseTo(s.runs[i]!.residuals.s_m[k]!, 12)
        expect(run.residuals.t_s[k]).toBe(s.runs[i]!.residuals.t_s[k])
      }
  })
})

describe('positions of one’s own', () => {
  const motion = (unit: 'time' | 'frame') =>
    `${unit},s_mm,run\n` +
    ['a', 'b', 'c']
      .flatMap((run, r) =>
        Array.from({ length: 40 }, (_, i) => {
          const t = i / 50
          return `${unit === 'time' ? t : i},${1000 * (0.01 + (0.3 + 0.01 * r) * t + 0.05 * t * t)},${run}`
        }),
      )
      .join('\n')
  const taken = (text: string, more: object) => {
    const { record } = new RecordBuilder().lane('A')
    const sheet = sheetOf(text)
    const imported = runsOf(sheet, {
      when: sheet.header![0] === 'time' ? { kind: 'time', column: 0, unit: 's' } : { kind: 'frame', column: 0 },
      where: { kind: 'along', s: 1, unit: 'mm' },
      run: 2,
    })
    const outcome = importAsPositions(
      record,
      imported,
      {
        file: 'gates.csv',
        size: 9,
        of: target,
        lengths: { kind: 'exact' },
        times: { kind: 'exact' },
        sigma_m: 1e-4,
        ...more,
      },
      ids(),
    )
    if (outcome.kind !== 'import') return { sentence: importSentence(sheet, outcome) }
    addImport(record, outcome)
    expect(parseRecord(record).kind).toBe('ok')
    return { record, result: laneResults(record)[0]! }
  }

  test.each(['time', 'frame'] as const)('by %s give their acceleration', (unit) => {
    const { result } = taken(motion(unit), { rate_hz: 50 })
    expect(result!.series[0]!.runs).toHaveLength(3)
    expect(result!.series[0]!.acceleration.value).toBeCloseTo(0.1, 9)
  })

  test('carry the uncertainty that is stated for scale and clock', () => {
    const { record, result } = taken(motion('time'), {
      lengths: { kind: 'within', relative: 0.01 },
      times: { kind: 'unknown' },
    })
    const { value, effects } = result!.series[0]!.acceleration
    const of = (name: string) =>
      effects.get(Object.values(record!.sources).find((source) => source.name.startsWith(name))!.id)!
    // Acceleration goes with the scale, and with the inverse square of the clock.
    expect(of('scale') / value).toBeCloseTo(0.01 / Math.sqrt(3), 6)
    expect(of('clock') / value).toBeCloseTo((-2 * 0.002) / Math.sqrt(3), 5)
    expect(Object.values(record!.sources).find(({ name }) => name.startsWith('clock'))!.unknown).toBe(true)
  })

  test('by frames need a rate, and every position an uncertainty above 0', () => {
    expect(taken(motion('frame'), {}).sentence).toContain('how many there are a second')
    expect(taken(motion('time'), { sigma_m: 0 }).sentence).toContain('above 0')
    expect(taken(motion('time'), { lengths: { kind: 'within', relative: 0 } }).sentence).toContain('above 0')
  })
})

describe('marks of a clip', () => {
  const imported = (text: string, firstFrame: 0 | 1 = 0) => {
    const { record } = new RecordBuilder().lane('A')
    const sheet = sheetOf(text)
    const outcome = importIntoClip(
      record,
      runsOf(sheet),
      { clipId: 'clip', firstFrame, file: 'x.csv', of: target },
      ids(),
    )
    if (outcome.kind !== 'import') return { run: null, says: [importSentence(sheet, outcome)] }
    return { run: outcome.runs[0]!, says: outcome.rejected.map((row) => rejectedSentence(sheet, row)) }
  }

  test('get the clip’s ticks, a click’s uncertainty, and say where they are from', () => {
    expect(imported('frame,x,y\n1,10,20\n3,11,21\n', 1).run).toMatchObject({
      note: 'imported from x.csv',
      marks: { frame: [0, 2], ticks: [0, 1024], sigma: [0.5, 0.5], origin: ['imported', 'imported'], doubt: [0, 0] },
    })
  })

  test('by the file’s time are those of its frames', () => {
    const { run, says } = imported('t,x,y\n0,10,20\n0.0333333,11,21\n0.05,12,22\n0.1,13,23\n')
    expect(run!.marks.frame).toEqual([0, 1, 3])
    expect(says).toEqual([
      'Line 4: 0.05 s lies between frames 1 and 2 of the clip. Check whether times count from its first frame.',
    ])
  })

  test('beyond the clip’s end are left out', () => {
    expect(imported('frame,x,y\n0,1,1\n10000,2,2\n').says).toEqual([
      'Line 3: frame 10000 is not in the clip, whose frames go from 0 to 9999.',
    ])
  })
})

test('mutated tables give runs that a record holds, or a sentence', () => {
  const { valid, refused } = fuzzCsv(longRun ? 20_000 : 500, 7)
  expect(valid).toBeGreaterThan(100)
  expect(refused).toBeGreaterThan(20)
})
