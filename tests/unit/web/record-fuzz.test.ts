import { beforeAll, expect, test, vi } from 'vitest'
import { parseRecord, readRecord, stableJson } from '../../../workers/record/index.ts'
import { largestFile_bytes, openRecordFile } from '../../../web/record/record-file.ts'
import { openSentence } from '../../../web/record/sentences.ts'
import { commit, recordStore, showRecord, undo } from '../../../web/record/store.ts'
import { longRun } from '../../support/long-run.ts'
import { seededRandom } from '../../support/random-order.ts'
import { mutated } from '../../support/record-mutations.ts'
import { richRecord } from '../../support/rich-record.ts'

const mutations = longRun ? 5000 : 500
const name = 'clock.slowlane.json'

beforeAll(() => {
  // Where this runs there is no page: no locks and no storage, as in a browser that refuses both.
  vi.stubGlobal('navigator', {})
})

test(`${mutations} damaged or hostile files each open as a valid record or are refused with a sentence, and what is refused changes nothing`, async () => {
  const text = stableJson(richRecord())
  expect(readRecord(text).kind).toBe('ok')
  const random = seededRandom(2026)
  const prototypes = [Object.prototype, Array.prototype].map((p) => Object.getOwnPropertyNames(p))
  const count = { opened: 0, refused: 0 }
  for (let n = 0; n < mutations; n++) {
    showRecord(richRecord())
    commit('change title', (draft) => void (draft.title = 'the open one'))
    const before = recordStore.getState()
    const file = mutated(text, random)
    const outcome = await openRecordFile(new File([file], name))
    const after = recordStore.getState()
    if (outcome.kind === 'open') {
      count.opened += 1
      expect(parseRecord(after.record), `mutation ${n}`).toMatchObject({ kind: 'ok' })
      // Without storage it gets no other id; what is saved of it reads as the same.
      expect(readRecord(stableJson(after.record)), `mutation ${n}`).toMatchObject({ kind: 'ok', record: after.record })
    } else {
      count.refused += 1
      expect(after, `mutation ${n}`).toBe(before)
      const sentence = openSentence(outcome, name) ?? ''
      expect(sentence.length, `mutation ${n}`).toBeGreaterThan(40)
      expect(sentence.length, `mutation ${n}: ${sentence.slice(0, 300)}`).toBeLessThan(1500)
      expect(sentence).toContain(name)
      expect(sentence).not.toMatch(/undefined|\[object|\bNaN /)
      expect(undo()?.name).toBe('change title')
    }
    expect(({} as Record<string, unknown>)['polluted'], `mutation ${n}`).toBeUndefined()
    expect((globalThis as Record<string, unknown>)['polluted']).toBeUndefined()
  }
  expect([Object.prototype, Array.prototype].map((p) => Object.getOwnPropertyNames(p))).toEqual(prototypes)
  console.log(`figure record.fuzz.files ${mutations} (${count.opened} opened, ${count.refused} refused)`)
  // Neither all nor none: the mutations reach the schema, and the schema is no wall.
  expect(count.opened).toBeGreaterThan(mutations / 50)
  expect(count.refused).toBeGreaterThan(mutations / 4)
})

test('a file beyond the largest is refused by its size alone, before a byte of it is read', async () => {
  const file = new File([], name)
  const read = vi.fn()
  Object.defineProperty(file, 'size', { value: largestFile_bytes + 1 })
  Object.defineProperty(file, 'text', { value: read })
  expect(await openRecordFile(file)).toEqual({ kind: 'too-large', size: largestFile_bytes + 1 })
  expect(read).not.toHaveBeenCalled()
})

test.each([
  ['nested a million deep', `{"schema":1,"a":${'['.repeat(1_000_000)}`, /nests deeper/],
  ['of millions of empty lists', `{"schema":1,"a":[${'[],'.repeat(2_100_000)}[]]}`, /lists and objects/],
])('a small file %s is refused before it is parsed', (_, text, why) => {
  const parse = vi.spyOn(JSON, 'parse')
  const outcome = readRecord(text)
  expect(parse).not.toHaveBeenCalled()
  parse.mockRestore()
  expect(openSentence(outcome as Parameters<typeof openSentence>[0], name)).toMatch(why)
})

test('brackets and quotes inside of names count for nothing', () => {
  const record = { ...richRecord(), title: '[[{{"\\', note: '['.repeat(3000) + '\\'.repeat(501) + '"' }
  expect(readRecord(stableJson(record))).toMatchObject({ kind: 'ok', record })
})
