import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { readRecord, stableJson } from '../../../workers/record/index.ts'
import { practiceRecord } from '../../../web/record/demo.ts'
import { fileNameOf } from '../../../web/record/record-file.ts'
import { openSentence } from '../../../web/record/sentences.ts'
import { RecordBuilder } from '../../support/record-builder.ts'

function record() {
  const builder = new RecordBuilder()
  return builder
    .lane('A')
    .finish('sanded', 1)
    .run({ to: 80, s: (t) => 0.05 + 0.1 * t, noise_px: (k) => [Math.sin(k), Math.cos(k)] })
    .run({ to: 80, s: (t) => 0.2 * t, finish: 'sanded' }).record
}

describe('record files', () => {
  test('what is saved opens as the same record, to the last bit of every mark', () => {
    const before = record()
    const read = readRecord(stableJson(before))
    expect(read).toEqual({ kind: 'ok', record: before, migratedFrom: null })
  })

  test('the same record gives the same bytes, whatever the order its entries came in', () => {
    const a = record()
    const b = { ...a, runs: Object.fromEntries(Object.entries(a.runs).reverse()), sources: { ...a.sources } }
    expect(stableJson(b)).toBe(stableJson(a))
  })

  test('a damaged file is refused with a sentence or reads as a valid record; it never throws', () => {
    const text = stableJson(record())
    fc.assert(
      fc.property(fc.nat(text.length - 1), fc.nat(200), fc.string({ maxLength: 8 }), (at, length, put) => {
        const outcome = readRecord(text.slice(0, at) + put + text.slice(at + length))
        if (outcome.kind === 'ok') return
        const sentence = openSentence(outcome, 'clock.slowlane.json')
        expect(sentence).toContain('clock.slowlane.json')
        expect(sentence).not.toMatch(/undefined|\[object|NaN/)
      }),
      { seed: 29, numRuns: 300 },
    )
  })

  test('a newer file is refused with both versions named', () => {
    const outcome = readRecord('{"schema":99}')
    if (outcome.kind === 'ok') throw new Error('read what it cannot know')
    expect(openSentence(outcome, 'x.json')).toMatch(/99.*1/)
  })

  test('the practice record keeps clips and views, and nothing that was found in them', () => {
    const demo = record()
    const practice = practiceRecord(demo, 'practice', '2026-01-02T00:00:00Z')
    const read = readRecord(stableJson(practice))
    expect(read.kind).toBe('ok')
    expect(Object.keys(practice.clips)).toEqual(Object.keys(demo.clips))
    expect(practice.views['view']).toMatchObject({ timebase: { kind: 'unset' }, planes: {}, lines: {}, gravity: [] })
    expect([practice.runs, practice.lanes, practice.mountings, practice.trials]).toEqual([{}, {}, {}, {}])
  })

  test('a title becomes a file name that every system takes', () => {
    expect(fileNameOf('Foyer clock, return lanes')).toBe('foyer-clock-return-lanes.slowlane.json')
    expect(fileNameOf('Été / “A:B”?')).toBe('ete-a-b.slowlane.json')
    expect(fileNameOf('../../etc')).toBe('etc.slowlane.json')
    expect(fileNameOf('  ')).toBe('record.slowlane.json')
  })
})
