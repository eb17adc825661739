import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import type { FoundRun } from '../../../web/stations/marks/found-runs.ts'
import { releasesOf } from '../../../web/stations/marks/releases.ts'
import { spinOf, turningReport } from '../../../web/stations/marks/turning.ts'
import type { Run, SlowlaneRecord } from '../../../workers/record/index.ts'
import { clipRecord, type ClipTruthFile } from '../../support/clip-record.ts'

const truth = JSON.parse(
  readFileSync(new URL('../../data/clips/b_three_as_cut.truth.json', import.meta.url), 'utf8'),
) as ClipTruthFile
const made = (): SlowlaneRecord => clipRecord(truth).record

/** What the search would say of a ball that rolls without sliding along its whole way. */
function turningOver(turns: number, share = 0.003): FoundRun['turning'] {
  const perTurn = 2 * Math.PI * 0.7
  const u = share * perTurn
  return { kind: 'turning', perTurn, u, rollingRadius: 0.7, rollingRadiusU: 0.7 * share, turns, local: [], slips: [] }
}

/** True way from a run's first mark to its last. */
function wayOf({ id, marks }: Run): number {
  const at = (frame: number): number => truth.frames[frame]!.balls.find((b) => b.id === id)!.s
  return Math.abs(at(marks.frame.at(-1)!) - at(marks.frame[0]!))
}

describe('turning in metres', () => {
  const record = made()
  const run = record.runs['A1']!
  // The way the marks span by the truth, over turns of a known length.
  const guide_m =
    2 *
    Math.PI *
    turningReport(record, { ...run, spin: { perTurn_m: 1, u_m: 0.001, turns: 1 } })!.guide!.rollingRadius_m
  const turns = wayOf(run) / guide_m

  test('the scale makes metres of turns, and its own uncertainty counts', () => {
    const spin = spinOf(record, run, turningOver(turns))!
    expect(Math.abs(spin.perTurn_m / guide_m - 1)).toBeLessThan(0.006)
    expect(spin.u_m / spin.perTurn_m).toBeGreaterThan(0.003)
    expect(spin.u_m / spin.perTurn_m).toBeLessThan(0.006)
    expect(turningReport(record, { ...run, spin })).toMatchObject({ guide: { verdict: 'agrees' }, changed: null })
  })

  test('turning a tenth too little is sliding; a twentieth too much is a wrong dimension', () => {
    const verdict = (more: number) =>
      turningReport(record, { ...run, spin: spinOf(record, run, turningOver(turns * more))! })!.guide!.verdict
    expect(verdict(0.9)).toBe('slides')
    expect(verdict(1.05)).toBe('turns-more')
  })

  test('without a scale the ball itself is the rule, at a percent', () => {
    const bare = made()
    bare.views['view']!.lines['A']!.planeId = null
    const spin = spinOf(bare, run, turningOver(turns))!
    const diameter = bare.balls[run.ballId]!.diameter_m.value
    expect(spin.perTurn_m).toBeCloseTo(2 * Math.PI * 0.7 * (diameter / 2), 9)
    expect(spin.u_m / spin.perTurn_m).toBeGreaterThan(0.01)
    expect(spinOf(bare, run, { kind: 'no-pattern', strength: 0.1 })).toBeUndefined()
  })

  test('a scale that is changed afterwards makes the figure stale, and that is said', () => {
    const later = made()
    const spin = spinOf(later, run, turningOver(turns))!
    const plane = later.views['view']!.planes['plane']!
    if (plane.kind !== 'rectangle') throw new Error('the clip is scaled by a rectangle')
    plane.width_m = { ...plane.width_m, value: 1.02 * plane.width_m.value }
    expect(turningReport(later, { ...run, spin })!.changed).toBeCloseTo(0.02, 2)
  })
})

describe('ball after ball', () => {
  /** The same passage again and again, so many frames later. */
  function train(starts: readonly number[]): SlowlaneRecord {
    const record = made()
    const run = record.runs['A1']!
    record.clips['clip']!.frames += Math.max(...starts)
    record.runs = {}
    for (const start of starts) {
      const { frame, ticks } = run.marks
      record.runs[`at ${start}`] = {
        ...run,
        id: `at ${start}`,
        marks: { ...run.marks, frame: frame.map((f) => f + start), ticks: ticks.map((t) => t + 512 * start) },
      }
    }
    return record
  }

  test('interval, jitter and spacing follow from the marks', () => {
    const [releases, ...more] = releasesOf(train([0, 48, 100, 148]), 'clip')
    expect(more).toEqual([])
    const fps = truth.time.capture_fps
    expect(releases!.interval_s).toBeCloseTo(148 / 3 / fps, 4)
    // Intervals of 48, 52 and 48 frames: standard deviation 4/√3 frames.
    expect(releases!.jitter_s).toBeCloseTo(4 / Math.sqrt(3) / fps, 4)
    for (const { least, mean, most } of releases!.spacings) {
      expect(least).toBeGreaterThan(0)
      expect(mean).toBeGreaterThanOrEqual(least)
      expect(most).toBeGreaterThanOrEqual(mean)
    }
  })

  test('one ball alone, or one left out of the results, makes no interval', () => {
    expect(releasesOf(train([0]), 'clip')).toEqual([])
    const record = train([0, 60])
    record.runs['at 60']!.excluded = true
    expect(releasesOf(record, 'clip')).toEqual([])
  })
})
