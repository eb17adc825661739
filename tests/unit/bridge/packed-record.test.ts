import { expect, test } from 'vitest'
import { packRecord, unpackRecord } from '../../../workers/bridge/packed-record.ts'
import { readRecord, stableJson } from '../../../workers/record/index.ts'
import { richRecord } from '../../support/rich-record.ts'

test('a record that went to another thread is the same there, every mark and origin of it', () => {
  const record = richRecord()
  record.runs['run1']!.marks.origin[3] = 'nudged'
  record.runs['run1']!.marks.doubt[4] = 7
  const there = unpackRecord(structuredClone(packRecord(record)))
  expect(there).toEqual(record)
  expect(readRecord(stableJson(there))).toMatchObject({ kind: 'ok' })
})

test('only marks that were replaced are packed anew', () => {
  const record = richRecord()
  const first = packRecord(record)
  const { marks } = record.runs['run1']!
  const moved = { ...record.runs['run1']!, marks: { ...marks, x: marks.x.map((x) => x + 1) } }
  const second = packRecord({ ...record, runs: { ...record.runs, run1: moved } })
  expect(second.runs['run2']!.marks).toBe(first.runs['run2']!.marks)
  expect(second.runs['run1']!.marks).not.toBe(first.runs['run1']!.marks)
  expect(unpackRecord(second).runs['run1']).toEqual(moved)
})
