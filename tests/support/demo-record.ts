import { readFileSync } from 'node:fs'
import { laneResults, type LaneResult } from '../../workers/fit/index.ts'
import { readRecord, type SlowlaneRecord } from '../../workers/record/index.ts'
import { repository } from './repository.ts'

export const demoFile = `${repository}samples/demo.slowlane.json`

/** The demo's record and its results, computed once a test file. */
export function demo(): { readonly record: SlowlaneRecord; readonly results: readonly LaneResult[] } {
  return (held ??= readDemo())
}

let held: { readonly record: SlowlaneRecord; readonly results: readonly LaneResult[] } | undefined

function readDemo() {
  const outcome = readRecord(readFileSync(demoFile, 'utf8'))
  if (outcome.kind !== 'ok') throw new Error(`the demo record is not readable: ${outcome.kind}`)
  return { record: outcome.record, results: laneResults(outcome.record) }
}
