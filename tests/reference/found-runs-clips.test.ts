import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { laneResults } from '../../workers/fit/index.ts'
import { codedRun } from '../../workers/locate/beside-frames/find-job.ts'
import { findRuns } from '../../workers/locate/find-runs.ts'
import type { Run, SlowlaneRecord } from '../../workers/record/index.ts'
import { alreadyMarked, marksOf } from '../../web/stations/marks/found-runs.ts'
import { spinOf, turningReport } from '../../web/stations/marks/turning.ts'
import { clipRecord, type ClipTruthFile } from '../support/clip-record.ts'
import { readTruth, truthLanes } from '../support/clip-truth.ts'
import { longRun } from '../support/long-run.ts'
import { openNativeLuma } from '../support/native-luma.ts'

// Four clips rendered by a program that shares no code with this one, with their truth: tests/data/clips/README.md.
const clips = new URL('../data/clips/', import.meta.url).pathname

/** The record of a careful person whose marks are all found by the tool, on every frame, balls' size unknown beforehand. */
async function foundRecord(name: string, truth: ClipTruthFile): Promise<SlowlaneRecord> {
  const seen = readTruth(`${clips}${name}.truth.json`)
  const source = openNativeLuma(`${clips}${name}.mp4`)
  const time_s = Float64Array.from({ length: source.frameCount }, (_, i) => i / seen.time.capture_fps)
  const { runs } = await findRuns(source, truthLanes(seen, undefined), { time_s })
  source.close()
  const { record } = clipRecord(truth)
  const byHand = Object.values(record.runs)
  record.runs = {}
  for (const found of runs) {
    const passage = codedRun(found)
    const marks = marksOf(passage, (frame) => 512 * frame)
    const same = byHand.filter((run) => run.laneId === found.lane && alreadyMarked([run], marks, found.radius_px))
    expect(same, 'every found run follows a ball').toHaveLength(1)
    const run: Run = { ...same[0]!, marks, direction: found.direction > 0 ? 'down' : 'up' }
    const spin = spinOf(record, run, passage.turning)
    record.runs[run.id] = { ...run, ...(spin && { spin }) }
  }
  expect(Object.keys(record.runs)).toHaveLength(byHand.length)
  return record
}

const spottedIn: Readonly<Record<string, number>> = {
  a_single_v: 0,
  b_three_as_cut: 3,
  c_three_sanded: 3,
  d_level_both_ways: 2,
}

/** Two of the clips in every run of the tests, all four in the long one. */
const chosen = Object.keys(spottedIn).filter((name) => longRun || /^[bd]_/.test(name))

describe.each(chosen)('clip %s, all marks found', (name) => {
  const truth = JSON.parse(readFileSync(`${clips}${name}.truth.json`, 'utf8')) as ClipTruthFile

  test('C_rr of every lane and the rolling radius of every spotted ball lie within U of the truth', async () => {
    const record = await foundRecord(name, truth)
    // The lanes resist partly in proportion to speed: the truth of the equivalent value is the same fit on the noise-free projections.
    const exact = laneResults(clipRecord(truth, { exact: true }).record)
    const results = laneResults(record)
    expect(results).toHaveLength(truth.lanes.length)
    for (const [i, result] of results.entries()) {
      const { value, U } = result.crr!
      const off = value - exact[i]!.crr!.value
      const [series] = result.series
      console.log(
        `${name} lane ${result.laneId}: C_rr ${value.toFixed(5)} ± ${U.toFixed(5)}, off ${(off / U).toFixed(2)} U; marks' errors correlated ${series!.marks.correlation.toFixed(2)}, model ${series!.model.kind}`,
      )
      expect(Math.abs(off), `lane ${result.laneId}`).toBeLessThan(U)
    }
    let spotted = 0
    for (const run of Object.values(record.runs)) {
      const report = turningReport(record, run)
      if (!report) continue
      spotted += 1
      const lane = readTruth(`${clips}${name}.truth.json`).lanes.find((l) => l.name === run.laneId)!
      const off = report.rollingRadius_m - lane.r_e_m
      console.log(
        `${name} ${run.id}: r_e ${(1000 * report.rollingRadius_m).toFixed(3)} ± ${(1000 * report.rollingRadiusU_m).toFixed(3)} mm (U ${((100 * report.rollingRadiusU_m) / lane.r_e_m).toFixed(2)} %), off ${((100 * off) / lane.r_e_m).toFixed(2)} %; guide says ${report.guide ? (1000 * report.guide.rollingRadius_m).toFixed(3) : 'nothing'} mm: ${report.guide?.verdict}`,
      )
      expect(report.rollingRadiusU_m).toBeLessThanOrEqual(0.02 * lane.r_e_m)
      expect(Math.abs(off)).toBeLessThanOrEqual(report.rollingRadiusU_m)
      expect(report.guide?.verdict).toBe('agrees')
      expect(report.changed).toBeNull()
    }
    expect(spotted).toBe(spottedIn[name])
    expect(results.flatMap(({ flags }) => flags.map(({ kind }) => kind))).not.toContain('slip')
  })
})
