import { expect, test } from 'vitest'
import { newestOnly } from '../../../web/picture/newest-only.ts'

function bench() {
  const asked: { wish: number; answer: (value: string) => void; fail: (cause: Error) => void; signal: AbortSignal }[] =
    []
  const shown: string[] = []
  const passed: string[] = []
  const failed: string[] = []
  const newest = newestOnly<number, string>(
    (wish, signal) => new Promise((answer, fail) => asked.push({ wish, answer, fail, signal })),
    {
      answer: (answer) => shown.push(answer),
      passed: (answer) => passed.push(answer),
      failed: (cause) => failed.push(String(cause)),
    },
  )
  return { asked, shown, passed, failed, newest }
}
const turn = () => new Promise((resolve) => setTimeout(resolve, 0))

test('of many wishes made meanwhile only the newest is asked for, and it is the one that stays', async () => {
  const { asked, shown, passed, newest } = bench()
  for (const frame of [1, 2, 3, 4]) newest.wish(frame)
  expect(asked.map((a) => a.wish)).toEqual([1])
  asked[0]!.answer('one')
  await turn()
  expect(asked.map((a) => a.wish)).toEqual([1, 4])
  asked[1]!.answer('four')
  await turn()
  expect(shown).toEqual(['four'])
  expect(passed).toEqual(['one'])
})

test('what was given up never reaches the picture', async () => {
  const { asked, shown, passed, newest } = bench()
  newest.wish(1)
  newest.stop()
  expect(asked[0]!.signal.aborted).toBe(true)
  asked[0]!.answer('one')
  await turn()
  expect(shown).toEqual([])
  expect(passed).toEqual(['one'])
})

test('a failure of an old wish is silent, of the newest is told', async () => {
  const { asked, failed, newest } = bench()
  newest.wish(1)
  newest.wish(2)
  asked[0]!.fail(new Error('old'))
  await turn()
  expect(failed).toEqual([])
  asked[1]!.fail(new Error('new'))
  await turn()
  expect(failed).toEqual(['Error: new'])
})

test('after stopping, a new wish is served at once', async () => {
  const { asked, shown, newest } = bench()
  newest.wish(1)
  newest.stop()
  newest.wish(2)
  expect(asked.map((a) => a.wish)).toEqual([1, 2])
  asked[1]!.answer('two')
  await turn()
  asked[0]!.answer('one')
  await turn()
  expect(shown).toEqual(['two'])
})
