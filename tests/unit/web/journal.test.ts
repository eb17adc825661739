import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { emptyRecord, parseRecord, schemaVersion, type SlowlaneRecord } from '../../../workers/record/index.ts'
import { replay, type JournalLine, type Snapshot } from '../../../web/record/journal.ts'
import { commit, recordStore, redo, showRecord, undo } from '../../../web/record/store.ts'

/** Makes changes and writes down what autosave would: one line a change, a snapshot wherever asked. */
function session(changes: readonly ('title' | 'finish' | 'undo' | 'redo')[], snapshotAt: readonly number[]) {
  showRecord(emptyRecord('r', 'start', '2026-01-01T00:00:00Z'))
  const journal: JournalLine[] = []
  const snapshots: Snapshot[] = [{ id: 'r', seq: 0, record: recordStore.getState().record }]
  const states: SlowlaneRecord[] = [recordStore.getState().record]
  for (const [n, change] of changes.entries()) {
    const { revision } = recordStore.getState()
    if (change === 'undo') undo()
    else if (change === 'redo') redo()
    else
      commit(change, (draft) => {
        if (change === 'title') draft.title = `title ${n}`
        else draft.finishes[`f${n}`] = { id: `f${n}`, name: `finish ${n}`, order: n }
      })
    const { last, record, revision: now } = recordStore.getState()
    if (now === revision || last.kind === 'opened') continue
    const seq = journal.length + 1
    journal.push({ id: 'r', seq, kind: last.kind, name: last.name, patches: last.patches })
    states.push(record)
    if (snapshotAt.includes(seq)) snapshots.push({ id: 'r', seq, record })
  }
  return { journal, snapshots, states }
}

const changes = fc.array(fc.constantFrom('title', 'finish', 'undo', 'redo'), { minLength: 1, maxLength: 40 })
const marks = fc.array(fc.integer({ min: 1, max: 40 }), { maxLength: 3 })

describe('reading a record back from copies and journal', () => {
  test('gives the last state, from whichever snapshots there are', () => {
    fc.assert(
      fc.property(changes, marks, (list, at) => {
        const { journal, snapshots, states } = session(list, at)
        const read = replay(snapshots, journal)
        expect(read.kind).toBe('whole')
        if (read.kind === 'whole') expect(read.record).toEqual(states.at(-1))
      }),
      { seed: 17, numRuns: 150 },
    )
  })

  test('cut off anywhere it gives the state before the cut, and says nothing false about it', () => {
    fc.assert(
      fc.property(changes, marks, fc.nat(40), (list, at, cut) => {
        const { journal, snapshots, states } = session(list, at)
        const kept = journal.slice(0, cut)
        const copies = snapshots.filter((snapshot) => snapshot.seq <= kept.length)
        const read = replay(copies, kept)
        expect(read).toMatchObject({ kind: 'whole', seq: kept.length })
        if (read.kind === 'whole') expect(read.record).toEqual(states[kept.length])
      }),
      { seed: 19, numRuns: 150 },
    )
  })

  test('a hole in the journal ends the reading there, and the number of lost changes is told', () => {
    const { journal, snapshots, states } = session(['title', 'title', 'finish', 'title', 'title'], [])
    const holed = journal.filter((line) => line.seq !== 3)
    const read = replay(snapshots, holed)
    expect(read).toMatchObject({ kind: 'shortened', seq: 2, lost: 3 })
    if (read.kind === 'shortened') expect(read.record).toEqual(states[2])
  })

  test('a newest copy that does not read gives way to the one before it and the journal', () => {
    const { journal, snapshots, states } = session(['title', 'finish', 'title'], [2])
    const broken = snapshots.map((snapshot) =>
      snapshot.seq === 2 ? { ...snapshot, record: { schema: 1, title: 7 } } : snapshot,
    )
    const read = replay(broken, journal)
    expect(read).toMatchObject({ kind: 'whole', seq: 3 })
    if (read.kind === 'whole') expect(read.record).toEqual(states[3])
  })

  test('a line that would break the record is left out with all that follow', () => {
    const { journal, snapshots, states } = session(['title', 'title', 'title', 'title'], [])
    const spoilt = journal.map((line) =>
      line.seq === 3 ? { ...line, patches: [{ op: 'replace' as const, path: ['title'], value: 12 }] } : line,
    )
    const read = replay(snapshots, spoilt.slice(0, 3))
    expect(read).toMatchObject({ kind: 'shortened', seq: 2, lost: 1 })
    if (read.kind === 'shortened') expect(read.record).toEqual(states[2])
  })

  test('patches cannot reach the prototype of anything', () => {
    const { snapshots } = session(['title'], [])
    const line = (path: readonly string[]): JournalLine => ({
      id: 'r',
      seq: 1,
      kind: 'commit',
      name: 'evil',
      patches: [{ op: 'add', path: [...path], value: 'yes' }],
    })
    for (const path of [
      ['__proto__', 'polluted'],
      ['constructor', 'prototype', 'polluted'],
      ['lanes', '__proto__', 'polluted'],
    ]) {
      const read = replay(snapshots, [line(path)])
      expect(read.kind).toBe('shortened')
      expect(({} as Record<string, unknown>)['polluted']).toBeUndefined()
    }
  })

  test('nothing kept is nothing, and a copy from a newer version is refused as such', () => {
    expect(replay([], [])).toEqual({ kind: 'nothing' })
    const newer = { id: 'r', seq: 1, record: { schema: schemaVersion + 1 } }
    expect(replay([newer], [])).toEqual({ kind: 'too-new', have: schemaVersion + 1, can: schemaVersion })
  })

  test('what is read back is a valid record', () => {
    fc.assert(
      fc.property(changes, (list) => {
        const { journal, snapshots } = session(list, [])
        const read = replay(snapshots, journal)
        if (read.kind === 'whole') expect(parseRecord(read.record).kind).toBe('ok')
      }),
      { seed: 23, numRuns: 50 },
    )
  })
})
