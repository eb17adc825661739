import { expect, test } from 'vitest'
import type { FromWorker, ToWorker } from '../../../workers/bridge/calls.ts'
import { fitClient } from '../../../workers/bridge/fit-client.ts'
import { emptyRecord } from '../../../workers/record/index.ts'
import { richRecord } from '../../support/rich-record.ts'

/** A thread that answers when it is told to. */
class SlowThread extends EventTarget {
  readonly heard: ToWorker[] = []
  postMessage(message: ToWorker): void {
    this.heard.push(message)
  }
  answer(data: FromWorker): void {
    this.dispatchEvent(new MessageEvent('message', { data }))
  }
  terminate(): void {
    this.heard.length = 0
  }
  get calls(): (ToWorker & { kind: 'call' })[] {
    return this.heard.filter((message) => message.kind === 'call')
  }
}

test('the results of an older record never replace those of a newer one: the older call is stopped and ends as stale', async () => {
  const thread = new SlowThread()
  const client = fitClient(() => thread as unknown as Worker)
  const older = client.latestLaneResults(emptyRecord('older', '', ''))
  const progress: number[] = []
  const newer = client.latestLaneResults(emptyRecord('newer', '', ''), {
    onProgress: ({ done }) => progress.push(done),
  })
  const [first, second] = thread.calls
  expect(thread.heard).toContainEqual({ kind: 'cancel', id: first!.id })
  thread.answer({ kind: 'progress', id: second!.id, value: { done: 1, of: 2 } })
  thread.answer({ kind: 'done', id: second!.id, value: [] })
  // Too late: the older record's answer comes last.
  thread.answer({ kind: 'done', id: first!.id, value: ['old'] })
  expect(await older).toBe('stale')
  expect(await newer).toEqual([])
  expect(progress).toEqual([1])
  client.close()
})

test('a caller’s own cancel is an error of the caller, not a stale result', async () => {
  const thread = new SlowThread()
  const client = fitClient(() => thread as unknown as Worker)
  const control = new AbortController()
  const call = client.latestLaneResults(emptyRecord('one', '', ''), { signal: control.signal })
  control.abort()
  await expect(call).rejects.toThrow()
  client.close()
})

test('a thread that dies gets the whole record anew, marks that an earlier one held included', async () => {
  const threads: SlowThread[] = []
  const client = fitClient(() => {
    threads.push(new SlowThread())
    return threads.at(-1) as unknown as Worker
  })
  const record = richRecord()
  const freshIn = (message: ToWorker & { kind: 'call' }) =>
    (message.args as { record: { fresh: Map<number, unknown> } }).record.fresh.size
  const first = client.laneResults(record)
  threads[0]!.answer({ kind: 'done', id: threads[0]!.calls[0]!.id, value: [] })
  await first
  const second = client.laneResults(record)
  expect(freshIn(threads[0]!.calls[1]!)).toBe(0)
  threads[0]!.dispatchEvent(new Event('error'))
  await expect.poll(() => threads[1]?.calls.length).toBe(1)
  expect(freshIn(threads[1]!.calls[0]!)).toBe(Object.keys(record.runs).length)
  threads[1]!.answer({ kind: 'done', id: threads[1]!.calls[0]!.id, value: [] })
  expect(await second).toEqual([])
  client.close()
})
