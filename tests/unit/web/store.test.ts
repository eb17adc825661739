import fc from 'fast-check'
import { beforeEach, describe, expect, test } from 'vitest'
import { emptyRecord, parseRecord, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { addLateFact, commit, recordStore, redo, setReadOnly, showRecord, undo } from '../../../web/record/store.ts'
import { RecordBuilder } from '../../support/record-builder.ts'

const record = (): SlowlaneRecord => recordStore.getState().record

/** A record with two lanes and two runs. */
function rolling(): SlowlaneRecord {
  return new RecordBuilder()
    .lane('A')
    .lane('B')
    .run({ lane: 'A', to: 60, s: (t) => 0.1 * t })
    .run({ lane: 'B', to: 60, s: (t) => 0.2 * t }).record
}

/** Changes of the kinds that people make: fields, entries that come and go, marks that are put in, moved and taken away. */
const change = fc.oneof(
  fc.string({ maxLength: 20 }).map((title) => ({ kind: 'title' as const, title })),
  fc.constantFrom('c1', 'c2', 'c3').map((id) => ({ kind: 'finish' as const, id })),
  fc.constantFrom('run1', 'run2').map((id) => ({ kind: 'remove-run' as const, id })),
  fc.record({
    kind: fc.constant('nudge' as const),
    id: fc.constantFrom('run1', 'run2'),
    at: fc.nat(15),
    by: fc.double({ min: -5, max: 5, noNaN: true }),
  }),
  fc.record({ kind: fc.constant('add-mark' as const), id: fc.constantFrom('run1', 'run2') }),
  fc.record({ kind: fc.constant('remove-mark' as const), id: fc.constantFrom('run1', 'run2'), at: fc.nat(15) }),
  fc.constant({ kind: 'undo' as const }),
  fc.constant({ kind: 'redo' as const }),
)
type Change = typeof change extends fc.Arbitrary<infer T> ? T : never

function make(change: Change): void {
  switch (change.kind) {
    case 'undo':
      undo()
      return
    case 'redo':
      redo()
      return
    case 'title':
      commit('change title', (draft) => {
        draft.title = change.title
      })
      return
    case 'finish':
      commit('finish', (draft) => {
        if (draft.finishes[change.id]) delete draft.finishes[change.id]
        else draft.finishes[change.id] = { id: change.id, name: change.id, order: 1 }
      })
      return
    case 'remove-run':
      commit('remove run', (draft) => {
        delete draft.runs[change.id]
      })
      return
    case 'nudge':
      commit('nudge mark', (draft) => {
        const marks = draft.runs[change.id]?.marks
        const x = marks?.x[change.at]
        if (marks && x !== undefined) marks.x[change.at] = x + change.by
      })
      return
    case 'add-mark':
      commit('add mark', (draft) => {
        const marks = draft.runs[change.id]?.marks
        if (!marks) return
        marks.frame.push((marks.frame.at(-1) ?? 0) + 1)
        marks.ticks.push(0)
        marks.x.push(1)
        marks.y.push(1)
        marks.sigma.push(0.5)
        marks.origin.push('hand')
        marks.doubt.push(0)
      })
      return
    case 'remove-mark':
      commit('remove mark', (draft) => {
        const marks = draft.runs[change.id]?.marks
        if (!marks) return
        for (const column of Object.values(marks)) column.splice(change.at, 1)
      })
  }
}

describe('the one door to the record', () => {
  beforeEach(() => showRecord(rolling()))

  test('undo after do is as before, redo after undo is as after, for any changes in any order', () => {
    fc.assert(
      fc.property(fc.array(change, { maxLength: 30 }), (changes) => {
        showRecord(rolling())
        for (const one of changes) {
          const before = record()
          const { past } = recordStore.getState()
          make(one)
          if (recordStore.getState().past.length !== past.length + 1 || one.kind === 'redo') continue
          const after = record()
          undo()
          expect(record()).toEqual(before)
          redo()
          expect(record()).toEqual(after)
          expect(recordStore.getState().past).toHaveLength(past.length + 1)
        }
      }),
      { seed: 3, numRuns: 150 },
    )
  })

  test('undo goes back to opening whatever was done, and every state on the way is a valid record', () => {
    fc.assert(
      fc.property(fc.array(change, { maxLength: 30 }), (changes) => {
        const opened = rolling()
        showRecord(opened)
        for (const one of changes) make(one)
        do expect(parseRecord(record()).kind).toBe('ok')
        while (undo())
        expect(record()).toEqual(opened)
        const { future } = recordStore.getState()
        while (redo());
        expect(recordStore.getState().past).toHaveLength(future.length)
      }),
      { seed: 5, numRuns: 60 },
    )
  })

  test('a change names its entry and forgets what was undone before', () => {
    commit('draw lane B', (draft) => {
      draft.title = 'one'
    })
    undo()
    expect(recordStore.getState().future.map((entry) => entry.name)).toEqual(['draw lane B'])
    commit('change title', (draft) => {
      draft.title = 'two'
    })
    expect(recordStore.getState().future).toEqual([])
    expect(recordStore.getState().past.map((entry) => entry.name)).toEqual(['change title'])
  })

  test('a recipe that changes nothing leaves no entry and no revision', () => {
    const { revision } = recordStore.getState()
    expect(commit('nothing', (draft) => void (draft.title = draft.title + ''))).toEqual({ kind: 'nothing-changed' })
    expect(recordStore.getState()).toMatchObject({ revision, past: [] })
  })

  test('a record that another tab holds cannot be changed, undone or redone', () => {
    commit('change title', (draft) => {
      draft.title = 'mine'
    })
    setReadOnly(true)
    expect(commit('change title', (draft) => void (draft.title = 'other'))).toEqual({ kind: 'read-only' })
    expect(undo()).toBeUndefined()
    expect(record().title).toBe('mine')
  })

  test('a commit copies only the run it touches', () => {
    const before = record()
    commit('nudge mark', (draft) => {
      const marks = draft.runs['run1']?.marks
      if (marks) marks.x[0] = 7
    })
    expect(record().runs['run2']).toBe(before.runs['run2'])
    expect(record().runs['run1']).not.toBe(before.runs['run1'])
    expect(record().runs['run1']?.marks.y).toBe(before.runs['run1']?.marks.y)
  })

  test('a fact that comes late has no entry of its own, goes with the thing it tells of, and comes back with it', () => {
    const { clip } = rolling().clips
    const hash = 'ab'.repeat(32)
    const note = () =>
      addLateFact('fingerprint', ['clips', 'second'], (draft) => {
        draft.clips['second']!.sha256 = hash
      })
    commit('add clip', (draft) => {
      draft.clips['second'] = { ...clip!, id: 'second' }
    })
    commit('change title', (draft) => void (draft.title = 'after'))
    undo()
    expect(note()).toEqual({ kind: 'done' })
    const { past, future, last } = recordStore.getState()
    expect([past.map(({ name }) => name), future.map(({ name }) => name)]).toEqual([['add clip'], ['change title']])
    expect(last).toMatchObject({ kind: 'late', patches: [{ path: ['clips', 'second', 'sha256'], value: hash }] })
    redo()
    expect(record()).toMatchObject({ title: 'after', clips: { second: { sha256: hash } } })
    undo()
    undo()
    expect(record()).toEqual(rolling())
    expect(note()).toEqual({ kind: 'nothing-changed' })
    redo()
    expect(record().clips['second']?.sha256).toBe(hash)
  })

  test('a late fact changes nothing in a record that another tab holds', () => {
    setReadOnly(true)
    expect(addLateFact('fingerprint', ['clips', 'clip'], (draft) => void delete draft.clips['clip'])).toEqual({
      kind: 'read-only',
    })
    expect(record()).toEqual(rolling())
  })

  test('opening another record starts history afresh', () => {
    make({ kind: 'title', title: 'x' })
    showRecord(emptyRecord('other', 'other', ''))
    expect(recordStore.getState()).toMatchObject({ past: [], future: [], last: { kind: 'opened' } })
  })
})
