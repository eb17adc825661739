import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { beforeAll, describe, expect, test } from 'vitest'
import {
  byClip,
  comparePairs,
  finishPairs,
  mixedFinishesSentence,
  type Comparison,
} from '../../../workers/decide/index.ts'
import { laneResults, sourceBookOf } from '../../../workers/fit/index.ts'
import { readRecord, stableJson, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { repository } from '../../support/repository.ts'

let demo: SlowlaneRecord

beforeAll(() => {
  const read = readRecord(readFileSync(join(repository, 'samples/demo.slowlane.json'), 'utf8'))
  if (read.kind !== 'ok') throw new Error(read.kind)
  demo = read.record
})

const clipNamed = (name: string): string => Object.values(demo.clips).find((clip) => clip.name === name)!.id

/** What the renderer rolled the balls with; the part that goes with speed is alike on both sides. */
function dryResistance(clip: string, lane: number): number {
  const truth = JSON.parse(readFileSync(join(repository, `samples/clips/${clip}.truth.json`), 'utf8')) as {
    lanes: { c0: number; tau_s: number }[]
  }
  return truth.lanes[lane]!.c0
}

describe('clip against clip', () => {
  test('holds the runs of the two clips and nothing else, and leaves the record as it was', () => {
    const before = stableJson(demo)
    const [cut, sanded] = [clipNamed('lanes-as-cut.mp4'), clipNamed('lanes-sanded.mp4')]
    const grouped = byClip(demo, cut, sanded)
    expect(stableJson(demo)).toBe(before)
    const clips = Object.values(grouped.record.runs).map((run) => [demo.runs[run.id]!.clipId, run.finishId])
    expect(clips).toHaveLength(30)
    expect(clips.every(([clipId, group]) => group === (clipId === cut ? grouped.first : grouped.second))).toBe(true)
    expect(grouped.mixed).toEqual([])
  })

  test('finds of one mounting what before and after finds, from the same runs', () => {
    const grouped = byClip(demo, clipNamed('lanes-as-cut.mp4'), clipNamed('lanes-sanded.mp4'))
    const { record, first, second } = grouped
    const pairs = comparePairs(
      record,
      sourceBookOf(record),
      laneResults(record),
      finishPairs(record, first, second),
      'crr',
    )
    const [a, b] = pairs.map(({ outcome }) => outcome as Comparison)
    expect(a!.perRun.first).toHaveLength(5)
    expect(a!.perRun.second).toHaveLength(5)
    const rendered = [0, 1].map((lane) => dryResistance('lanes-sanded', lane) - dryResistance('lanes-as-cut', lane))
    expect(Math.abs(a!.difference.value - rendered[0]!)).toBeLessThan(a!.difference.U)
    expect(pairs[0]!.verdict).toBe('less')
    expect(Math.abs(b!.difference.value - rendered[1]!)).toBeLessThan(b!.difference.U)
    expect(pairs[1]!.verdict).toBe('cannot-tell')
  })

  test('says where a clip mixes finishes', () => {
    const cut = clipNamed('lanes-as-cut.mp4')
    const mixedUp = structuredClone(demo)
    const [one] = Object.values(mixedUp.runs).filter((run) => run.clipId === cut)
    const other = Object.keys(mixedUp.finishes).find((id) => id !== one!.finishId)!
    one!.finishId = other
    const [mixed] = byClip(mixedUp, cut, clipNamed('lanes-sanded.mp4')).mixed
    expect(mixedFinishesSentence(mixedUp, mixed!)).toMatch(
      /^Lane A was run sanded 400 and as cut in lanes-as-cut\.mp4: /,
    )
  })
})
