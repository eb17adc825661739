import { beforeEach, describe, expect, test, vi } from 'vitest'
import type { Clip } from '../../../workers/record/index.ts'
import { fileFor, relink, type ClipFiles } from '../../../web/record/clip-files.ts'
import { recordStore, showRecord } from '../../../web/record/store.ts'
import { richRecord } from '../../support/rich-record.ts'

/** The key of files as these tests make it: what is in them. */
const keyOf = vi.fn(async (files: ClipFiles) => (await Promise.all(files.map((file) => file.text()))).join('|'))

function file(name: string, body: string, folder = ''): { file: File } {
  const made = new File([body], name)
  // Set by the browser where a folder was chosen; absent outside of it.
  Object.defineProperty(made, 'webkitRelativePath', { value: folder === '' ? '' : `${folder}/${name}` })
  return { file: made }
}

const seed = 'of-the-stills'

beforeEach(() => {
  const record = richRecord()
  const clip = (id: string, name: string, key: string, size = key.length): Clip => ({
    ...record.clips['clip']!,
    id,
    name,
    size,
    quickKey: key,
  })
  keyOf.mockClear()
  showRecord({
    ...record,
    clips: {
      one: clip('one', 'passage.mp4', `first ${Math.random()}`.padEnd(24)),
      two: clip('two', 'passage.mp4', `other ${Math.random()}`.padEnd(30)),
      stills: clip('stills', 'still_1.png (3 stills)', `a${seed}|b${seed}|c${seed}`, 3 * (1 + seed.length)),
    },
  })
})

describe('clips are found again by what is in them', () => {
  test('one by one, whatever the file is called now', async () => {
    const [one] = Object.values(recordStore.getState().record.clips)
    const chosen = file('renamed.mov', one!.quickKey)
    expect(await relink([chosen], keyOf)).toEqual({ found: ['one'], strangers: [] })
    expect(await fileFor('one')).toEqual({ kind: 'here', files: [chosen.file] })
  })

  test('a whole folder at once, numbered stills as one clip in the order of their numbers; only files of fitting size are read', async () => {
    const { one, two } = recordStore.getState().record.clips
    const chosen = [
      file('still_10.png', `c${seed}`, 'shoot/stills'),
      file('b.mp4', two!.quickKey, 'shoot/day 2'),
      file('notes.txt', 'nothing of this', 'shoot'),
      file('still_2.png', `b${seed}`, 'shoot/stills'),
      file('a.mp4', one!.quickKey, 'shoot/day 1'),
      file('still_1.png', `a${seed}`, 'shoot/stills'),
    ]
    const { found, strangers } = await relink(chosen, keyOf)
    expect([...found].sort()).toEqual(['one', 'stills', 'two'])
    expect(strangers.map(({ name }) => name)).toEqual(['notes.txt'])
    expect(keyOf.mock.calls.flat(2).map(({ name }) => name)).not.toContain('notes.txt')
    expect(await fileFor('stills')).toMatchObject({
      kind: 'here',
      files: [{ name: 'still_1.png' }, { name: 'still_2.png' }, { name: 'still_10.png' }],
    })
  })

  test('a file of the same name and size with other contents stays a stranger', async () => {
    const { one } = recordStore.getState().record.clips
    const chosen = file('passage.mp4', 'x'.repeat(one!.size))
    expect(await relink([chosen], keyOf)).toEqual({ found: [], strangers: [chosen.file] })
    expect(await fileFor('one')).toEqual({ kind: 'missing' })
  })
})
