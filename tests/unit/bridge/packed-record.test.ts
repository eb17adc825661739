import { expect, test } from 'vitest'
import { RecordReceiver, RecordSender, type PackedRecord } from '../../../workers/bridge/packed-record.ts'
import { readRecord, stableJson, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { richRecord } from '../../support/rich-record.ts'

/** As it arrives on the other side: what is handed over is gone here. */
function sent(sender: RecordSender, record: SlowlaneRecord): PackedRecord {
  const { packed, transfer } = sender.pack(record)
  return structuredClone(packed, { transfer: transfer as ArrayBuffer[] })
}

function moved(record: SlowlaneRecord, id: string): SlowlaneRecord {
  const run = record.runs[id]!
  const marks = { ...run.marks, x: run.marks.x.map((x) => x + 1) }
  return { ...record, runs: { ...record.runs, [id]: { ...run, marks } } }
}

test('a record that went to another thread is the same there, every mark and origin of it', () => {
  const record = richRecord()
  record.runs['run1']!.marks.origin[3] = 'nudged'
  record.runs['run1']!.marks.doubt[4] = 7
  const there = new RecordReceiver().unpack(sent(new RecordSender(), record))
  expect(there).toEqual(record)
  expect(readRecord(stableJson(there))).toMatchObject({ kind: 'ok' })
})

test('only marks that were replaced go over again, and the record is whole there all the same', () => {
  const [sender, receiver] = [new RecordSender(), new RecordReceiver()]
  const record = richRecord()
  const first = receiver.unpack(sent(sender, record))
  const next = moved(record, 'run1')
  const packed = sent(sender, next)
  expect(packed.fresh.size).toBe(1)
  const there = receiver.unpack(packed)
  expect(there).toEqual(next)
  expect(there.runs['run2']!.marks).toBe(first.runs['run2']!.marks)
})

test('marks that left the record and come back by undo go over again', () => {
  const [sender, receiver] = [new RecordSender(), new RecordReceiver()]
  const record = richRecord()
  const { run1: _, ...others } = record.runs
  for (const next of [record, { ...record, runs: others }, record, moved(record, 'run2'), record])
    expect(receiver.unpack(sent(sender, next))).toEqual(next)
})

test('a new thread gets everything; one that missed something says which marks did not arrive', () => {
  const sender = new RecordSender()
  const record = richRecord()
  sent(sender, record)
  expect(() => new RecordReceiver().unpack(sent(sender, record))).toThrow(/the marks of run \w+ did not arrive/)
  sender.forget()
  expect(new RecordReceiver().unpack(sent(sender, record))).toEqual(record)
})
